"""Which of a preset's lines bring a finding, or mend one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.compare.blame import finds, judged_apart, smallest
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.typed import Fate, Session
from cfgaudit.dump.statement import Statement
from cfgaudit.model.place import Place

Judge = Callable[[Reading], Audit]
Without = Callable[[frozenset[int]], Reading]  # the configuration without the lines of these numbers


class Traced(Struct, frozen=True):
    """A finding and the lines that it comes from, or that mend it."""

    finding: Finding
    lines: tuple[Statement, ...] = ()


class Effect(Struct, frozen=True):
    """What typing a text does to what an audit finds: root causes, each with the lines that make it."""

    brought: tuple[Traced, ...]
    mended: tuple[Traced, ...]
    left: tuple[Traced, ...]


def effect(session: Session, before: Audit, after: Audit, judge: Judge, without: Without) -> Effect:
    """Lay two audits side by side, and each difference at the door of the lines that make it.

    A line that the finding points at is the one. Where it points at none (it is about what is no longer
    there, or about other lines), the smallest choice of lines without which the difference would not be
    is found by leaving lines out and judging again. A difference that no line makes has none.
    """
    apart = judged_apart(before, after)
    lines = {one.statement.line: one.statement for one in session.typed if one.fate is Fate.SETS}
    slots = {entry.shared_slot: entry.statement.line for one in session.typed for entry in one.entries}

    @cache
    def judged_without(numbers: frozenset[int]) -> Audit:
        return judge(without(numbers))

    def of(finding: Finding, there: Reading, *, brought: bool) -> Traced:
        pointed = {*_pointed_at(finding, there, slots)} & lines.keys()
        chosen = sorted(pointed) or smallest(
            [*lines], lambda numbers: finds(judged_without(numbers), finding) is not brought
        )
        return Traced(finding, tuple(lines[number] for number in chosen))

    return Effect(
        tuple(of(one, without(frozenset()), brought=True) for one in apart.brought),
        tuple(of(one, session.before, brought=False) for one in apart.mended),
        tuple(Traced(one) for one in apart.left),
    )


def _pointed_at(finding: Finding, there: Reading, slots: Mapping[Slot, int]) -> Iterator[int]:
    """The lines of the text that say what a finding shows of a configuration."""
    shown = {
        sight.origin.line: sight.origin.file for sight in finding.found if isinstance(sight.origin, Place)
    }
    for entry in there.entries if shown else ():
        place = entry.statement
        if shown.get(place.line) == place.file and entry.shared_slot in slots:
            yield slots[entry.shared_slot]
