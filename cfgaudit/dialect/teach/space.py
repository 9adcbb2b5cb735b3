"""Spaces: the readings that are left of each kind of path, the dialect's own first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.evidence import Entry
from cfgaudit.dialect.teach.fact import Fact, values_of
from cfgaudit.dialect.teach.fitting import fitting, grown_from
from cfgaudit.dialect.teach.lesson import Lesson
from cfgaudit.dialect.teach.numbers import stepped
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.words import Table
from cfgaudit.model.path import Path


class Space(Struct, frozen=True):
    """The readings that fit what the lessons say of a shape.

    ``grown`` says that they come from the dialect's own ``entries``; else those were overruled.
    """

    shape: Path
    facts: tuple[Fact, ...]
    readings: tuple[Reading, ...]
    entries: tuple[Entry, ...] = ()
    grown: bool = False
    against: tuple[Lesson, ...] = ()  # what tells the keys of the same lines otherwise


def spaces_of(desk: Desk, shape: Path) -> Iterator[Space]:
    """The readings of a shape: the dialect's own where they fit, else those that the lessons allow."""
    facts = tuple(dict.fromkeys(f for lesson in desk.lessons for f in lesson.facts if f.shape == shape))
    own = [one for one in desk.entries if one.reading.shape == shape]
    claimed: dict[Entry | None, list[Fact]] = {}
    for fact in facts:
        claimed.setdefault(_claimant(desk, own, fact), []).append(fact)
    free = claimed.pop(None, [])
    overruled: list[Entry] = []
    for entry, some in claimed.items():
        assert entry
        if grown := grown_from(desk, [entry.reading], some, desk.lessons):
            yield _in_steps(Space(shape, tuple(some), tuple(grown), (entry,), True))
        elif entry.drafted or _backed(desk, entry, some):
            overruled.append(entry)
            free += some
        else:
            yield Space(shape, tuple(some), (), (entry,))
    missed = [
        one
        for one in own
        if one not in overruled
        and any(_reads(desk, one, fact) if one in claimed else _speaks_of(one, fact) for fact in free)
    ]
    if hard := [one for one in missed if not one.drafted]:
        yield Space(shape, tuple(free), (), tuple(hard))
    elif free:
        wanted = [fact for fact in facts if fact in free]
        for space in _learned_alone(desk, shape, wanted):
            yield replace(space, entries=(*overruled, *missed)) if space.readings else space


def _claimant(desk: Desk, entries: Sequence[Entry], fact: Fact) -> Entry | None:
    """The entry that speaks of a fact, on a line that changed when it was told."""
    for one in entries:
        spot, cell = one.reading.spot, one.reading.cell
        for lesson in desk.lessons:
            changed = any(cell in pair.cells for pair in desk.changed(lesson, spot))
            if changed and fact in lesson.facts and _speaks_of(one, fact):
                return one
    return None


def _speaks_of(entry: Entry, fact: Fact) -> bool:
    """Whether an entry says the path, or may with more words for its keys."""
    return all(
        key.cell or key.known[0][1] == told for key, told in zip(entry.reading.keys, fact.keys, strict=True)
    )


def _reads(desk: Desk, entry: Entry, fact: Fact) -> bool:
    """Whether an entry reads the very path from a line of the dumps."""
    lines = (row for dump in desk.dumps for row in dump.get(entry.reading.spot, ()))
    return any(entry.reading.keys_of(row) == fact.keys for row in lines)


def _backed(desk: Desk, entry: Entry, facts: Sequence[Fact]) -> bool:
    """Whether some lesson alone agrees with an entry."""
    telling = [one for one in desk.lessons if any(fact in facts for fact in one.facts)]
    return any(
        grown_from(desk, [entry.reading], [fact for fact in facts if fact in one.facts], [one])
        for one in telling
    )


def _learned_alone(desk: Desk, shape: Path, facts: Sequence[Fact]) -> Iterator[Space]:
    """The readings by the lessons; if no one kind of line says all of it, those of each path."""
    for space in _learned(desk, shape, tuple(facts)):
        yield _in_steps(space)


def _learned(desk: Desk, shape: Path, facts: tuple[Fact, ...]) -> Iterator[Space]:
    found = fitting(desk, facts)
    paths = dict.fromkeys(fact.path for fact in facts)
    if not found and len(paths) > 1:
        each = [(tuple(f for f in facts if f.path == path)) for path in paths]
        apart = [(some, fitting(desk, some)) for some in each]
        homes = [{(one.spot, one.cell) for one in space} for _, space in apart]
        # a kind of line of its own for each path; what shares one is a contradiction
        if all(homes) and sum(map(len, homes)) == len(set().union(*homes)):
            yield from (Space(shape, some, tuple(space)) for some, space in apart)
            return
    yield Space(shape, facts, tuple(found))


def _in_steps(space: Space) -> Space:
    """A table of numbers of which lessons have told a rule is that rule."""
    values = {fact.value for fact in space.facts} | {fact.was for fact in space.facts}
    made = []
    for one in space.readings:
        table = dict(one.coding.values) if isinstance(one.coding, Table) else {}
        told = {text: value for text, value in table.items() if value in values}
        rule = stepped(told) if told == table and not values_of(space.shape) else None
        made.append(replace(one, coding=rule) if rule else one)
    return replace(space, readings=tuple(made))
