"""Fitting: which readings explain all lessons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from msgspec.structs import replace

from cfgaudit.dialect.teach.beginnings import beginnings, forced, index_most
from cfgaudit.dialect.teach.coding import Told
from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.fact import ANY, Fact, Untold, kind_of, may_be
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Lesson, Pair, Row, Spot
from cfgaudit.dialect.teach.numbers import Ruled
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.dialect.teach.reading import PACKED, Reading
from cfgaudit.model.path import Path

READINGS_MOST = 20_000  # that are looked at together


def fitting(desk: Desk, facts: Sequence[Fact], only: Sequence[Lesson] = ()) -> list[Reading]:
    """The readings that fit all lessons, of the simplest sort that has any.

    Keys and cells of which the dialect speaks already are taken at its word, unless a draft has
    guessed them and nothing fits so. A rule that makes of the dumps what the model cannot have is
    believed where nothing else fits: one number may stand for a cell of no use.
    """
    odd: list[Reading] = []
    guessed = any(one.drafted for one in desk.entries)
    sure = replace(desk, entries=tuple(one for one in desk.entries if not one.drafted))
    for at in (desk, sure) if guessed else (desk,):
        for stage in range(3):
            found = _at_stage(at, facts, stage, only or desk.lessons)
            if sound := [one for one in found if _may_hold(desk, one, facts[0].path)]:
                return sound
            odd = odd or found
    return odd


def _at_stage(desk: Desk, facts: Sequence[Fact], stage: int, lessons: Sequence[Lesson]) -> list[Reading]:
    wanted = set(facts)
    first = next((one for one in lessons if any(fact in wanted for fact in one.facts)), None)
    if not first:
        return []
    fact = next(one for one in first.facts if one in wanted)
    state = grown_from(desk, _begun(desk, first, fact, stage), facts, lessons)
    for lesson in lessons:
        if not any(fact in wanted for fact in lesson.facts):
            state = list(dict.fromkeys(one for each in state for one in _untouched(desk, each, lesson)))
    unique = [one for one in state if all(_unique(one, dump.get(one.spot, ())) for dump in desk.dumps)]
    return sorted(unique, key=_order)


def grown_from(
    desk: Desk, begun: Iterable[Reading], facts: Sequence[Fact], lessons: Sequence[Lesson]
) -> list[Reading]:
    """What readings become by the lessons that tell of the facts; those that are refuted are gone."""
    wanted = set(facts)
    state = dict.fromkeys(begun)
    for lesson in lessons:
        some = [fact for fact in lesson.facts if fact in wanted]
        if not some:
            continue
        grown, state = state, {}
        for reading in grown:
            state.update(dict.fromkeys(_extended(desk, reading, lesson, some)))
            if len(state) > READINGS_MOST:
                break
    return sorted(state, key=_order)


def _order(reading: Reading) -> tuple[bool, int, int, str, str]:
    made = sum(1 for key in reading.keys if not key.cell)
    return (reading.coding.weak, reading.coding.simple, made, reading.spot.name, reading.cell)


def kind_told(fact: Fact) -> str:
    kind = kind_of(fact.path)
    if kind != "any":
        return kind
    if isinstance(fact.value, bool):
        return "flag"
    return "word" if isinstance(fact.value, str) else "list" if isinstance(fact.value, tuple) else "number"


def _begun(desk: Desk, lesson: Lesson, fact: Fact, stage: int) -> Iterator[Reading]:
    """Readings that nothing has been told of, at each line that changed."""
    kind, count = kind_told(fact), len(fact.keys)
    seen = set()
    for pair in desk.pairs[lesson.number]:
        spot = pair.row.spot
        if spot.kind == "pattern" and not count:
            continue
        for cell in pair.cells:
            if (spot, cell) in seen:
                continue
            seen.add((spot, cell))
            lines = desk.changed(lesson, spot)
            texts = desk.texts[spot, cell]
            if spot.kind == "pattern" and cell != "value":
                continue
            if desk.owners.get((spot, cell), fact.shape) != fact.shape:
                continue
            others = [one for one in pair.row.cells if one != cell]
            keys = _key_choices(desk, spot, others, fact.shape)
            packed = fact.path[0] == PACKED[0]
            packable = stage > 0 or fact.path[:2] == PACKED
            told = [Told(*one.texts(cell), (fact,), False) for one in lines if cell in one.cells]
            points = {point for each in told for point in each.points}
            codings = (
                forced(kind, texts, packed, index_most(fact.path))
                if stage == 2
                else beginnings(kind, texts, packable, points)
            )
            fits = [
                one
                for one in codings
                if kind != "number" or any(True for each in told for _ in one.learn(each))
            ]
            for coding, chosen in product(fits, keys):
                yield Reading(fact.shape, spot, cell, coding, chosen)


def _key_choices(desk: Desk, spot: Spot, cells: Sequence[str], shape: Path) -> list[tuple[Key, ...]]:
    """The cells that may say the keys; the kind of line says one itself where it comes once.

    Where the dialect says a key of these lines already, there is no choice.
    """
    prefixes = [shape[:n] for n, part in enumerate(shape) if part == ANY]
    alone = all(len(dump.get(spot, ())) < 2 for dump in desk.dumps)
    options = [*cells, ""] if alone or len(prefixes) > 1 else [*cells]
    whole = Spot(spot.scope, "scope", "")
    told = [desk.keys.get((spot, prefix)) or desk.keys.get((whole, prefix)) for prefix in prefixes]
    each = [[one] if one and one.cell in cells else [Key(cell) for cell in options] for one in told]
    named = ((some, [key.cell for key in some if key.cell]) for some in product(*each))
    return [some for some, own in named if len(set(own)) == len(own)]


def _extended(desk: Desk, reading: Reading, lesson: Lesson, facts: Sequence[Fact]) -> Iterator[Reading]:
    """Every way in which a reading explains what a lesson says of its path."""
    groups: dict[tuple[str, ...], list[Fact]] = {}
    for fact in facts:
        groups.setdefault(fact.keys, []).append(fact)
    lines = [pair for pair in desk.changed(lesson, reading.spot) if reading.cell in pair.cells]
    yield from _assigned(reading, lesson, list(groups.values()), lines)


def _assigned(
    reading: Reading, lesson: Lesson, groups: Sequence[Sequence[Fact]], lines: Sequence[Pair]
) -> Iterator[Reading]:
    if not groups:
        yield reading
        return
    facts, *rest = groups
    beside = [fact for fact in lesson.facts if fact.path[:-1] == facts[0].path[:-1]]
    for n, pair in enumerate(lines):
        for keys in _keys_learned(reading.keys, pair.row, facts[0].keys):
            told = Told(*pair.texts(reading.cell), tuple(facts), len(beside) == len(facts))
            for coding in reading.coding.learn(told):
                grown = replace(reading, keys=keys, coding=coding)
                yield from _assigned(grown, lesson, rest, [*lines[:n], *lines[n + 1 :]])


def _keys_learned(keys: Sequence[Key], row: Row, told: Sequence[str]) -> Iterator[tuple[Key, ...]]:
    grown = [tuple(key.learn(row.cells.get(key.cell, ""), one)) for key, one in zip(keys, told, strict=True)]
    yield from product(*grown)


def _untouched(desk: Desk, reading: Reading, lesson: Lesson) -> Iterator[Reading]:
    """A part of a number does not change in a lesson that tells of another part."""
    exact = [pair for pair in desk.pairs[lesson.number] if pair.row.spot.kind != "pattern"]
    here = [pair for pair in desk.changed(lesson, reading.spot) if reading.cell in pair.cells]
    coding = reading.coding
    if len(exact) != 1 or not here:
        yield reading
        return
    before, after = here[0].texts(reading.cell)
    if not isinstance(coding, Field | Bit | Scattered):
        # another part of the number has changed, so the whole number is not it
        packed = reading.shape[:2] == PACKED and isinstance(before, str) and isinstance(after, str)
        if not packed:
            yield reading
        return
    if isinstance(before, Untold) or isinstance(after, Untold):
        yield reading
        return
    for grown in coding.untouched(before, after):
        yield replace(reading, coding=grown)


def _may_hold(desk: Desk, reading: Reading, path: Path) -> bool:
    """Whether a rule of numbers makes nothing of the dumps that the model cannot have there."""
    if not isinstance(reading.coding, Ruled):
        return True
    values = (reading.coding.read(text) for text in desk.texts[reading.spot, reading.cell])
    return all(isinstance(one, Untold) or may_be(path, one) for one in values)


def _unique(reading: Reading, lines: Iterable[Row]) -> bool:
    """Whether no two lines of a dump would say the same path."""
    said: dict[tuple[str, ...], Mapping[str, str]] = {}
    for row in lines:
        keys = tuple(row.cells.get(key.cell, "") for key in reading.keys)
        rest = {name: text for name, text in row.cells.items() if name != reading.cell}
        if said.setdefault(keys, rest) != rest:
            return False
    return True
