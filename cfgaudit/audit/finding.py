"""What an audit says: the three answers, as plain data that every report is drawn from."""

from __future__ import annotations

import hashlib
from enum import StrEnum

from msgspec import Struct

from cfgaudit.model.path import Path
from cfgaudit.model.place import Origin, Place
from cfgaudit.model.terms import Acceptance, LevelChange
from cfgaudit.model.value import Value


class Level(StrEnum):
    """How much a finding matters, in SARIF's words, weightiest first."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 is the weightiest."""
        return list(Level).index(self)


class Sight(Struct, frozen=True):
    """A place a finding points at and what stands there.

    ``origin`` is a place in a file or a dialect's default; ``text`` is the line's text there.
    """

    origin: Origin
    text: str


class Mend(Struct, frozen=True):
    """Lines to paste that mend a finding, or why there are none.

    ``wanted`` holds the values that model paths should have, whatever the dialect; the lines say
    the same in the dialect's hand, and ``undo`` takes them back.
    """

    lines: tuple[str, ...]
    undo: tuple[str, ...]
    cannot: str = ""  # why the dialect cannot write the mend; "" if it can or there is none
    wanted: tuple[tuple[Path, Value], ...] = ()
    wait: str = ""  # what the lines take effect after: "restart", "power cycle"; "" if at once


class Finding(Struct, frozen=True):
    """A rule that fails for one subject."""

    rule: str
    level: Level
    title: str
    subject: str  # the path the judgement is about, e.g. "model.ports.UART6", "build.devices.receiver"
    text: str
    why: str
    basis: str
    hazard: str  # the caution it carries; "" if none
    declared: tuple[Sight, ...]  # in the build sheet
    found: tuple[Sight, ...]  # in the dump
    mend: Mend
    figures: tuple[str, ...]  # the values judged, spoken: part of the fingerprint
    follows: tuple[Finding, ...] = ()  # consequences: mended when this one is
    paths: tuple[Path, ...] = ()  # what it is about and points at, from ``model`` or ``build`` on

    @property
    def at(self) -> str:
        """What an acceptance names it by: the subject without the tree that it is in, "ports.UART6"."""
        return self.subject.partition(".")[2]

    @property
    def fingerprint(self) -> str:
        """Sixteen hex digits from content (rule, subject, values), never from line numbers."""
        content = "\x1f".join((self.rule, self.subject, *self.figures))
        return hashlib.sha256(content.encode("utf-8", "surrogatepass")).hexdigest()[:16]


class NotJudged(Struct, frozen=True):
    """A rule that could not be judged for one subject, and what is missing."""

    rule: str
    title: str
    subject: str
    missing: str  # "the dump does not say osd.drive", "build.yaml does not declare motors.magnets"
    where: Place | None  # where to write it, if it is the build sheet's to say
    lacks: Path = ()  # the sheet's path that says it; () if it is not the sheet's to say


class Accepted(Struct, frozen=True):
    """A finding that a user accepts: it is told, and does not count."""

    finding: Finding
    by: Acceptance


class Unused(StrEnum):
    """Why an acceptance accepts nothing."""

    NEVER = "never"  # nobody may accept a finding of its rule
    EXPIRED = "expired"  # its last day is over
    UNUSED = "unused"  # nothing is found where it stands for


class Unheeded(Struct, frozen=True):
    """An acceptance that accepts nothing; ``text`` says why, and what to do."""

    entry: Acceptance
    why: Unused
    text: str


class Weighed(Struct, frozen=True):
    """A rule that a user switched off or gave another level; ``level`` is its own one."""

    rule: str
    level: Level
    change: LevelChange


class Audit(Struct, frozen=True):
    """The outcome of all rules: findings weightiest first, then what holds, then what is open.

    Beside it what came of a user's word: ``accepted`` findings, which are not among ``findings``,
    acceptances that were ``unheeded``, and rules ``weighed`` otherwise.
    """

    findings: tuple[Finding, ...]
    holding: tuple[str, ...]  # ids of rules that hold for every subject they were judged for
    not_judged: tuple[NotJudged, ...]
    accepted: tuple[Accepted, ...] = ()
    unheeded: tuple[Unheeded, ...] = ()
    weighed: tuple[Weighed, ...] = ()

    @property
    def worst(self) -> str:
        """The weightiest level found, consequences included; "" if nothing was found that counts."""
        levels = [one.level for root in self.findings for one in (root, *root.follows)]
        return min(levels, key=lambda level: level.rank).value if levels else ""
