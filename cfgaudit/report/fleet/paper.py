"""What the reports of many craft are drawn from, and the words that they share."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.audit.finding import Level
from cfgaudit.compare.fleet.configuration import Kind
from cfgaudit.compare.fleet.majority import KindTold, NotSaid, Odd, Told
from cfgaudit.compare.fleet.row import Audited, Faulty
from cfgaudit.compare.words import NOT_SAID, label, topic_of, with_unit
from cfgaudit.model.model import HIDDEN
from cfgaudit.report.cautions import HAZARDS


class FleetPaper(Struct, frozen=True):
    """All that came of a fleet, craft in their order."""

    tool_version: str
    folder: str
    rows: tuple[Audited, ...]
    faults: tuple[Faulty, ...]
    kinds: tuple[KindTold, ...]
    left_out: tuple[str, ...]  # folders with a build sheet that no project file names

    @property
    def counts(self) -> dict[Level, int]:
        """The findings of all craft by level."""
        return {level: sum(row.counts[level] for row in self.rows) for level in Level}

    @property
    def hazards(self) -> tuple[str, ...]:
        """What can hurt among the findings of all craft, known hazards first."""
        present = {word for row in self.rows for word in _hazards(row)}
        known = [word for word in HAZARDS if word in present]
        return (*known, *sorted(present - set(known)))


def _hazards(row: Audited) -> Iterator[str]:
    yield from (one.hazard for one in row.every if one.hazard)
    yield from row.hazards


def kind_words(kind: Kind) -> str:
    """``plover on Reed-405, quad-x``."""
    board = f"on {kind.board}" if kind.board else "on a board that is not named"
    return f"{kind.dialect} {board}" + (f", {kind.layout}" if kind.layout else "")


def setting_words(odd: Odd) -> str:
    """A setting as a builder calls it: ``outputs 3 pin``; a flat one by its name."""
    if len(odd.path) == 1:
        return odd.path[0]
    topic = topic_of(odd.path)
    return f"{topic.named(odd.path)} {label(odd.path, topic.skip)}".strip()


def value_words(odd: Odd, value: Told) -> str:
    """A value with its unit; of a private setting never what it is."""
    if isinstance(value, NotSaid):
        return NOT_SAID
    return HIDDEN if odd.private else with_unit(odd.path, value)
