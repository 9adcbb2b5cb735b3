"""Settling: what the lessons leave of each path, and what is still open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import combinations

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.desk import Desk, desk_of
from cfgaudit.dialect.teach.evidence import Entry
from cfgaudit.dialect.teach.fact import Fact
from cfgaudit.dialect.teach.fitting import fitting, grown_from
from cfgaudit.dialect.teach.lesson import Changed, Lesson, Pair, Row
from cfgaudit.dialect.teach.numbers import Ruled
from cfgaudit.dialect.teach.questions import Question as Question
from cfgaudit.dialect.teach.questions import (
    again,
    drafted_gaps,
    elsewhere,
    gaps,
    splitting,
    variants_of,
    wider,
)
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.sharing import fields_apart, owned, shared_keys
from cfgaudit.dialect.teach.space import Space, spaces_of
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
    against: tuple[Lesson | Entry, ...] = ()  # what disagrees
    entry: Entry | None = None  # what the dialect said already, from which the readings have grown
    overruled: tuple[Entry, ...] = ()  # what a draft said, and lessons say otherwise

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
    beside: tuple[Question, ...] = ()  # of what a draft has guessed and no lesson tells of

    @property
    def questions(self) -> tuple[Question, ...]:
        """All that is open, with the paths that lessons tell of first."""
        return (*(one for out in self.outcomes for one in out.questions), *self.beside)


def study(
    dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump], entries: Sequence[Entry] = ()
) -> Study:
    """Find the readings that fit all lessons, for each path that they tell of.

    ``entries`` are what the dialect's file says already: where they fit the lessons, they are the
    reading, and lessons only add words to them.
    """
    desk = desk_of(dialect, lessons, dumps, entries)
    shapes = dict.fromkeys(fact.shape for lesson in lessons for fact in lesson.facts)
    spaces = [space for shape in shapes for space in spaces_of(desk, shape)]
    spaces = fields_apart(shared_keys(desk, owned(spaces)))
    outcomes = tuple(_outcome(desk, space) for space in spaces)
    beside = tuple(dict.fromkeys(drafted_gaps(desk, shapes)))
    return Study(outcomes, tuple(_extra(desk, outcomes)), tuple(_unknown(desk)), beside)


def _outcome(desk: Desk, found: Space) -> Outcome:
    shape, facts, space = found.shape, found.facts, found.readings
    if not space:
        return Outcome(shape, Status.REFUTED, (), against=found.against or _disagreeing(desk, found))
    variants = [one for reading in space for one in variants_of(reading)]
    status = Status.OPEN if _differ(desk, variants) else Status.AGREED if variants[1:] else Status.SETTLED
    if status is Status.SETTLED and space[0].coding.weak:
        status = Status.AGREED
    if any(_rests_on_chance(desk, one) for one in space):
        status = Status.OPEN
    questions: list[Question] = []
    if len({tuple(key.cell for key in one.keys) for one in space}) > 1:
        questions.append(elsewhere(space[0], facts))
    if len(space) > 1:
        questions += [splitting(desk, space, facts), *again(desk, space[0], facts)]
    elif space[0].coding.weak:
        questions += again(desk, space[0], facts)
    elif len(variants) > 1:
        questions += wider(space[0], facts, status is Status.OPEN)
    if status is not Status.OPEN:
        questions += gaps(desk, space[0])
    entry, overruled = (found.entries[0], ()) if found.grown else (None, found.entries)
    return Outcome(shape, status, space, tuple(dict.fromkeys(questions)), entry=entry, overruled=overruled)


def _rests_on_chance(desk: Desk, reading: Reading) -> bool:
    """Whether a rule that one lesson alone speaks for would read what no lesson has told of."""
    coding = reading.coding
    if not coding.weak or not isinstance(coding, Ruled):
        return False
    told = {text for text, _ in coding.points}
    return not desk.texts.get((reading.spot, reading.cell), frozenset()) <= told


def _differ(desk: Desk, readings: Sequence[Reading]) -> bool:
    """Whether readings make something else of the dumps and the lessons."""
    if len(readings) < 2:
        return False
    first = _signature(desk, readings[0])
    return any(_signature(desk, one) != first for one in readings[1:])


def _signature(desk: Desk, reading: Reading) -> object:
    """What a reading makes of all lines of its kind in the dumps and the lessons."""
    return (
        reading.spot,
        frozenset((row.under, row.text, reading.says(row)) for row in desk.rows(reading.spot)),
    )


def _disagreeing(desk: Desk, found: Space) -> tuple[Lesson | Entry, ...]:
    """The fewest lessons that no reading fits together, or an entry and those it does not fit."""
    facts = found.facts
    telling = [one for one in desk.lessons if any(fact in facts for fact in one.facts)]
    if hard := [one for one in found.entries if not one.drafted]:
        begun = [one.reading for one in hard]
        alone = [
            one
            for one in telling
            if not grown_from(desk, begun, [fact for fact in facts if fact in one.facts], [one])
        ]
        return (*hard, *(alone or telling))
    for count in (1, 2, 3):
        for some in combinations(telling, count):
            inside = [fact for fact in facts if any(fact in one.facts for one in some)]
            if not fitting(desk, inside, some):
                return (*dict.fromkeys(_named_otherwise(desk, some, inside)), *some)
    return tuple(telling)


def _named_otherwise(desk: Desk, lessons: Sequence[Lesson], facts: Sequence[Fact]) -> Iterator[Entry]:
    """The entries that call a changed line by another name than the facts do."""
    for entry in desk.entries:
        for lesson in lessons:
            paths = [fact.path for fact in lesson.facts if fact in facts]
            for pair in desk.changed(lesson, entry.reading.spot):
                if any(_calls_otherwise(entry.reading, pair.row, path) for path in paths):
                    yield entry


def _calls_otherwise(reading: Reading, row: Row, path: Path) -> bool:
    return any(
        isinstance(said, str) and path[: len(prefix)] == prefix and path[len(prefix)] != said
        for prefix, said in zip(reading.prefixes, reading.keys_of(row), strict=True)
    )


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
