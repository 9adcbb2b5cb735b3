"""Which of a preset's lines bring a finding, or mend one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.compare.blame import finds, finds_alike, judged_apart, lines_shown, smallest
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.typed import Fate, Session
from cfgaudit.dump.statement import Statement

Judge = Callable[[Reading], Audit]
Without = Callable[[frozenset[int]], Reading]  # the configuration without the lines of these numbers


class Traced(Struct, frozen=True):
    """A finding and the lines that it comes from, or that mend it."""

    finding: Finding
    lines: tuple[Statement, ...] = ()


class Effect(Struct, frozen=True):
    """What typing a text does to what an audit finds: root causes, each with the lines that make it.

    A finding that is gone is mended only if the same lines bring none about the same thing: a canvas
    that did not fit and does not fit otherwise is brought, and nothing is mended.
    """

    brought: tuple[Traced, ...]
    mended: tuple[Traced, ...]
    left: tuple[Traced, ...]


def effect(session: Session, before: Audit, after: Audit, judge: Judge, without: Without) -> Effect:
    """Lay two audits side by side, and each difference at the door of the lines that make it.

    A line that the finding points at is the one. Where it points at none (it is about what is no longer
    there, or about other lines), the smallest choice of lines without which the difference would not be
    is found by leaving lines out and judging again. A difference that no line makes has none.
    """
    apart, door = judged_apart(before, after), _Door(session, judge, without)
    brought = tuple(door.of_brought(one, before) for one in apart.brought)
    mended = (door.of_mended(one) for one in apart.mended)
    return Effect(
        brought,
        tuple(one for one in mended if not any(_same_matter(one, other) for other in brought)),
        tuple(Traced(one) for one in apart.left),
    )


def brought(
    session: Session, before: Audit, after: Audit, judge: Judge, without: Without
) -> tuple[Traced, ...]:
    """The findings that are new, each with the lines that bring it: a part of ``effect``."""
    door = _Door(session, judge, without)
    return tuple(door.of_brought(one, before) for one in judged_apart(before, after).brought)


def _same_matter(mended: Traced, new: Traced) -> bool:
    return mended.finding.subject == new.finding.subject and {*mended.lines} <= {*new.lines}


class _Door:
    """Finds the lines behind a finding, and remembers what was judged without which lines."""

    def __init__(self, session: Session, judge: Judge, without: Without) -> None:
        sets = [one for one in session.typed if one.fate is Fate.SETS]
        self.session, self.without = session, without
        self.lines = {one.statement.line: one.statement for one in sets}
        self.slots = {entry.shared_slot: entry.statement.line for one in sets for entry in one.entries}
        self.judged = cache(lambda numbers: judge(without(numbers)))

    def of_brought(self, finding: Finding, before: Audit) -> Traced:
        # what was found before with other figures never goes away: then the figures are what is brought
        same = finds if finds_alike(before, finding) else finds_alike
        pointed = _pointed_at(finding, self.without(frozenset()), self.slots)
        return self._traced(finding, {*pointed}, lambda gone: not same(self.judged(gone), finding))

    def of_mended(self, finding: Finding) -> Traced:
        pointed = _pointed_at(finding, self.session.before, self.slots)
        return self._traced(finding, {*pointed}, lambda gone: finds(self.judged(gone), finding))

    def _traced(
        self, finding: Finding, pointed: set[int], enough: Callable[[frozenset[int]], bool]
    ) -> Traced:
        chosen = sorted(pointed)
        if not chosen or not enough(frozenset(chosen)):
            chosen = [*smallest([*self.lines], enough)] or chosen
        return Traced(finding, tuple(self.lines[number] for number in chosen))


def _pointed_at(finding: Finding, there: Reading, slots: Mapping[Slot, int]) -> Iterator[int]:
    """The lines of the text that say what a finding shows of a configuration."""
    shown = lines_shown(finding)
    for entry in there.entries if shown else ():
        place = entry.statement
        if (place.file, place.line) in shown and entry.shared_slot in slots:
            yield slots[entry.shared_slot]
