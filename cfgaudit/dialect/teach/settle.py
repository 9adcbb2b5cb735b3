"""Settling: what the lessons leave of each path, and what is still open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import combinations

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.desk import Desk, desk_of
from cfgaudit.dialect.teach.fact import Fact
from cfgaudit.dialect.teach.fitting import fields_apart, fitting, owned, shared_keys, spaces_of
from cfgaudit.dialect.teach.lesson import Changed, Lesson, Pair
from cfgaudit.dialect.teach.numbers import Ruled
from cfgaudit.dialect.teach.questions import Question as Question
from cfgaudit.dialect.teach.questions import again, elsewhere, gaps, splitting, variants_of, wider
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dump.read import Dump
from cfgaudit.model.path import Path


class Status(StrEnum):
    """How far the lessons have brought a path."""

    SETTLED = "settled"  # one reading is left
    AGREED = "so far"  # several are left, and all say the same of the dumps at hand
    OPEN = "open"  # several are left, and they differ
    REFUTED = "refuted"  # none is left


class Outcome(Struct, frozen=True):
    """What the lessons tell of one path."""

    shape: Path
    status: Status
    readings: tuple[Reading, ...]  # the simplest first
    questions: tuple[Question, ...] = ()
    against: tuple[Lesson, ...] = ()  # lessons that disagree

    @property
    def chosen(self) -> Reading:
        """The reading that is written."""
        return self.readings[0]

    @property
    def written(self) -> bool:
        """Whether the dialect may say it."""
        return self.status in (Status.SETTLED, Status.AGREED)

    @property
    def complete(self) -> bool:
        """Whether the dumps at hand are read with nothing left to ask."""
        return self.status is Status.SETTLED and not any(one.needed for one in self.questions)


class Study(Struct, frozen=True):
    """All that the lessons tell."""

    outcomes: tuple[Outcome, ...]
    extra: tuple[tuple[Lesson, Changed], ...]  # changed lines that no fact explains
    unknown: tuple[tuple[Lesson, Changed], ...]  # changed lines that the dialect does not know


def study(dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump]) -> Study:
    """Find the readings that fit all lessons, for each path that they tell of."""
    desk = desk_of(dialect, lessons, dumps)
    shapes = dict.fromkeys(fact.shape for lesson in lessons for fact in lesson.facts)
    spaces = [space for shape in shapes for space in spaces_of(desk, shape)]
    spaces = fields_apart(shared_keys(owned(spaces)))
    outcomes = tuple(_outcome(desk, shape, told, space) for shape, told, space in spaces)
    return Study(outcomes, tuple(_extra(desk, outcomes)), tuple(_unknown(desk)))


def _outcome(desk: Desk, shape: Path, facts: tuple[Fact, ...], space: list[Reading]) -> Outcome:
    if not space:
        return Outcome(shape, Status.REFUTED, (), against=_disagreeing(desk, facts))
    variants = [one for reading in space for one in variants_of(reading)]
    signs = {_signature(desk, one) for one in variants}
    status = Status.OPEN if len(signs) > 1 else Status.AGREED if len(variants) > 1 else Status.SETTLED
    if status is Status.SETTLED and space[0].coding.weak:
        status = Status.AGREED
    if any(_rests_on_chance(desk, one) for one in space):
        status = Status.OPEN
    questions: list[Question] = []
    if len({tuple(key.cell for key in one.keys) for one in space}) > 1:
        questions.append(elsewhere(space[0], facts))
    if len(space) > 1:
        questions += [splitting(desk, space, facts), again(space[0], facts)]
    elif space[0].coding.weak:
        questions.append(again(space[0], facts))
    elif len(variants) > 1:
        questions += wider(space[0], facts, status is Status.OPEN)
    if status is not Status.OPEN:
        questions += gaps(desk, space[0])
    return Outcome(shape, status, tuple(space), tuple(dict.fromkeys(questions)))


def _rests_on_chance(desk: Desk, reading: Reading) -> bool:
    """Whether a rule that one lesson alone speaks for would read what no lesson has told of."""
    coding = reading.coding
    if not coding.weak or not isinstance(coding, Ruled):
        return False
    told = {text for text, _ in coding.points}
    return not desk.texts.get((reading.spot, reading.cell), frozenset()) <= told


def _signature(desk: Desk, reading: Reading) -> object:
    """What a reading makes of all lines of its kind in the dumps and the lessons."""
    return (
        reading.spot,
        frozenset((row.under, row.text, reading.says(row)) for row in desk.rows(reading.spot)),
    )


def _disagreeing(desk: Desk, facts: tuple[Fact, ...]) -> tuple[Lesson, ...]:
    """The fewest lessons that no reading fits together."""
    telling = [one for one in desk.lessons if any(fact in facts for fact in one.facts)]
    for count in (1, 2, 3):
        for some in combinations(telling, count):
            inside = [fact for fact in facts if any(fact in one.facts for one in some)]
            if not fitting(desk, inside, some):
                return some
    return tuple(telling)


def _extra(desk: Desk, outcomes: Sequence[Outcome]) -> Iterator[tuple[Lesson, Changed]]:
    """Changed lines that no fact explains, by the readings that are left."""
    explained = {(one.spot, one.cell) for out in outcomes for one in out.readings}
    for lesson in desk.lessons:
        lines: dict[Changed, bool] = {}
        for pair in desk.pairs[lesson.number]:
            fits = any(
                (pair.row.spot, cell) in explained and _explains(outcomes, lesson, pair, cell)
                for cell in pair.cells
            )
            lines[pair.changed] = lines.get(pair.changed, False) or fits
        yield from ((lesson, line) for line, fits in lines.items() if not fits)


def _explains(outcomes: Sequence[Outcome], lesson: Lesson, pair: Pair, cell: str) -> bool:
    told = {(fact.shape, fact.keys) for fact in lesson.facts}
    return any(
        (one.spot, one.cell) == (pair.row.spot, cell) and (one.shape, one.keys_of(pair.row)) in told
        for out in outcomes
        for one in out.readings
    )


def _unknown(desk: Desk) -> Iterator[tuple[Lesson, Changed]]:
    for lesson in desk.lessons:
        known = {pair.changed for pair in desk.pairs[lesson.number]}
        yield from ((lesson, line) for line in lesson.changed if line not in known)
