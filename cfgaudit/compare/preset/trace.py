"""Which of a preset's lines bring a finding, or mend one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.compare.blame import finds, judged_apart, smallest
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import Fate, Session
from cfgaudit.dump.statement import Statement
from cfgaudit.model.place import Place

Judge = Callable[[Reading], Audit]
Retype = Callable[[frozenset[int]], Session]  # the same text, typed without the lines of these numbers


class Traced(Struct, frozen=True):
    """A finding and the lines that it comes from, or that mend it."""

    finding: Finding
    lines: tuple[Statement, ...] = ()


class Effect(Struct, frozen=True):
    """What typing a text does to what an audit finds."""

    brought: tuple[Traced, ...]
    mended: tuple[Traced, ...]
    left: tuple[Traced, ...]


def effect(session: Session, before: Audit, after: Audit, judge: Judge, retype: Retype) -> Effect:
    """Lay two audits side by side, and each difference at the door of the lines that make it.

    A line that the finding points at is the one. Where it points at none (it is about what is no longer
    there, or about other lines), the smallest choice of lines without which the difference would not be
    is found by leaving lines out and judging again.
    """
    apart = judged_apart(before, after)
    lines = {one.statement.line: one.statement for one in session.typed if one.fate is Fate.SETS}

    @cache
    def without(numbers: frozenset[int]) -> Audit:
        return judge(retype(numbers).after)

    def of(finding: Finding, direct: set[int], *, brought: bool) -> Traced:
        chosen = sorted(direct & lines.keys()) or smallest(
            [*lines], lambda numbers: finds(without(numbers), finding) is not brought
        )
        return Traced(finding, tuple(lines[number] for number in chosen))

    file = session.statements[0].file if session.statements else ""
    return Effect(
        tuple(of(one, {*_pointed_at(one, file)}, brought=True) for one in apart.brought),
        tuple(of(one, {*_in_place_of(one, session)}, brought=False) for one in apart.mended),
        tuple(Traced(one) for one in apart.left),
    )


def _pointed_at(finding: Finding, file: str) -> Iterator[int]:
    """The lines of the text that a finding shows."""
    for sight in finding.found:
        if isinstance(sight.origin, Place) and sight.origin.file == file:
            yield sight.origin.line


def _in_place_of(finding: Finding, session: Session) -> Iterator[int]:
    """The lines that took the place of those that a finding showed."""
    shown = {
        (sight.origin.file, sight.origin.line) for sight in finding.found if isinstance(sight.origin, Place)
    }
    before = session.before.in_force
    for one in session.typed:
        for entry in one.entries:
            was = before.get(entry.shared_slot)
            if was and (was.statement.file, was.statement.line) in shown:
                yield entry.statement.line
