"""What is kept of one craft of many: counts and sentences, none of the trees that they came from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding, Level
from cfgaudit.compare.fleet.configuration import Configuration


class Found(Struct, frozen=True):
    """A finding in short, with what merely follows from it."""

    rule: str
    at: str
    level: Level
    text: str
    fingerprint: str
    hazard: str
    follows: tuple[Found, ...] = ()


class Changed(Struct, frozen=True):
    """A change since the baseline in short."""

    weight: str
    subject: str
    text: str


class Drifted(Struct, frozen=True):
    """What came of the comparison with a baseline.

    ``changes`` counts all, ``heaviest`` has the first of them. ``sealed_otherwise`` are private settings
    of which nobody can say whether they changed.
    """

    baseline: str
    recorded: str
    changes: int
    heaviest: tuple[Changed, ...]
    sealed_otherwise: tuple[str, ...]


class NoBaseline(Struct, frozen=True):
    """There is nothing to compare with; ``named`` is a file that is yet to be recorded, or ""."""

    named: str = ""


class Audited(Struct, frozen=True):
    """A craft that was audited. ``findings`` come weightiest first."""

    craft: str
    dump: str
    sheet: str
    firmware: str
    version: str
    board: str
    dialect: str
    findings: tuple[Found, ...]
    hazards: tuple[str, ...]  # of the accepted findings, which can hurt as well
    accepted: int
    holding: int
    not_judged: int
    not_understood: int  # lines of the dump
    drift: Drifted | NoBaseline

    @property
    def counts(self) -> dict[Level, int]:
        """Findings by level, without those that merely follow from another."""
        levels = [one.level for one in self.findings]
        return {level: levels.count(level) for level in Level}

    @property
    def every(self) -> Iterator[Found]:
        """Each finding, and after it what follows from it."""
        return _every(self.findings)

    @property
    def worst(self) -> str:
        """The weightiest level found, consequences included; "" if nothing was found that counts."""
        return min((one.level for one in self.every), key=lambda level: level.rank, default="")

    @property
    def has_drifted(self) -> bool:
        """Whether it is not as its baseline says."""
        return isinstance(self.drift, Drifted) and self.drift.changes > 0


class Faulty(Struct, frozen=True):
    """A craft that could not be audited, and the line that says why."""

    craft: str
    what: str


Row = Audited | Faulty


class Examined(Struct, frozen=True):
    """What a job gives back: the row to keep, and the settings, which are only counted."""

    row: Audited
    configuration: Configuration


Outcome = Examined | Faulty


def in_short(audit: Audit) -> tuple[Found, ...]:
    """The findings of an audit, weightiest first."""
    return tuple(map(_found, sorted(audit.findings, key=lambda one: one.level.rank)))


def _found(one: Finding) -> Found:
    follows = tuple(map(_found, one.follows))
    return Found(one.rule, one.at, one.level, one.text, one.fingerprint, one.hazard, follows)


def _every(findings: Iterable[Found]) -> Iterator[Found]:
    for one in findings:
        yield one
        yield from _every(one.follows)
