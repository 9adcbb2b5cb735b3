"""Fitting: which readings explain all lessons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from msgspec.structs import replace

from cfgaudit.dialect.teach.beginnings import beginnings, forced
from cfgaudit.dialect.teach.coding import Told
from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.fact import ANY, Fact, Untold, kind_of
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Lesson, Pair, Row, Spot
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.dialect.teach.reading import PACKED, Reading
from cfgaudit.model.path import Path

READINGS_MOST = 20_000  # that are looked at together


Space = tuple[Path, tuple[Fact, ...], list[Reading]]  # shape, its facts, what fits


def spaces_of(desk: Desk, shape: Path) -> Iterator[Space]:
    """The readings of a shape; if no one kind of line says all of it, those of each path."""
    facts = tuple(dict.fromkeys(f for lesson in desk.lessons for f in lesson.facts if f.shape == shape))
    found = fitting(desk, facts)
    paths = dict.fromkeys(fact.path for fact in facts)
    if not found and len(paths) > 1:
        each = [(tuple(f for f in facts if f.path == path)) for path in paths]
        apart = [(some, fitting(desk, some)) for some in each]
        homes = [{(one.spot, one.cell) for one in space} for _, space in apart]
        # a kind of line of its own for each path; what shares one is a contradiction
        if all(homes) and sum(map(len, homes)) == len(set().union(*homes)):
            yield from ((shape, some, space) for some, space in apart)
            return
    yield shape, facts, found


def fitting(desk: Desk, facts: Sequence[Fact], only: Sequence[Lesson] = ()) -> list[Reading]:
    """The readings that fit all lessons, of the simplest sort that has any."""
    for stage in range(3):
        found = _at_stage(desk, facts, stage, only or desk.lessons)
        if found:
            return found
    return []


def _at_stage(desk: Desk, facts: Sequence[Fact], stage: int, lessons: Sequence[Lesson]) -> list[Reading]:
    wanted = set(facts)
    telling = [(one, [f for f in one.facts if f in wanted]) for one in lessons]
    telling = [(one, some) for one, some in telling if some]
    state: dict[Reading, None] = {}
    for n, (lesson, some) in enumerate(telling):
        grown = state if n else dict.fromkeys(_begun(desk, lesson, some[0], stage))
        state = {}
        for reading in grown:
            state.update(dict.fromkeys(_extended(desk, reading, lesson, some)))
            if len(state) > READINGS_MOST:
                break
    for lesson in lessons:
        if not any(fact in wanted for fact in lesson.facts):
            state = dict.fromkeys(one for reading in state for one in _untouched(desk, reading, lesson))
    unique = [one for one in state if all(_unique(one, dump.get(one.spot, ())) for dump in desk.dumps)]
    return sorted(unique, key=_order)


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
            lines = [one for one in desk.pairs[lesson.number] if one.row.spot == spot]
            texts = desk.texts[spot, cell]
            if spot.kind == "pattern" and cell != "value":
                continue
            others = [one for one in pair.row.cells if one != cell]
            keys = _key_choices(desk, spot, others, count)
            packed = fact.path[0] == PACKED[0]
            packable = stage > 0 or fact.path[:2] == PACKED
            told = [Told(*one.texts(cell), (fact,), False) for one in lines if cell in one.cells]
            points = {point for each in told for point in each.points}
            codings = forced(kind, texts, packed) if stage == 2 else beginnings(kind, texts, packable, points)
            fits = [
                one
                for one in codings
                if kind != "number" or any(True for each in told for _ in one.learn(each))
            ]
            for coding, chosen in product(fits, keys):
                yield Reading(fact.shape, spot, cell, coding, chosen)


def _key_choices(desk: Desk, spot: Spot, cells: Sequence[str], count: int) -> list[tuple[Key, ...]]:
    """The cells that may say the keys; the kind of line says one itself where it comes once."""
    alone = all(len(dump.get(spot, ())) < 2 for dump in desk.dumps)
    options = [*cells, ""] if alone or count > 1 else [*cells]
    chosen = product(options, repeat=count)
    named = [[cell for cell in some if cell] for some in chosen]
    return [
        tuple(Key(cell) for cell in some)
        for some, own in zip(product(options, repeat=count), named, strict=True)
        if len(set(own)) == len(own)
    ]


def _extended(desk: Desk, reading: Reading, lesson: Lesson, facts: Sequence[Fact]) -> Iterator[Reading]:
    """Every way in which a reading explains what a lesson says of its path."""
    groups: dict[tuple[str, ...], list[Fact]] = {}
    for fact in facts:
        groups.setdefault(fact.keys, []).append(fact)
    lines = [p for p in desk.pairs[lesson.number] if p.row.spot == reading.spot and reading.cell in p.cells]
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
        for keys in _learned(reading.keys, pair.row, facts[0].keys):
            told = Told(*pair.texts(reading.cell), tuple(facts), len(beside) == len(facts))
            for coding in reading.coding.learn(told):
                grown = replace(reading, keys=keys, coding=coding)
                yield from _assigned(grown, lesson, rest, [*lines[:n], *lines[n + 1 :]])


def _learned(keys: Sequence[Key], row: Row, told: Sequence[str]) -> Iterator[tuple[Key, ...]]:
    grown = [tuple(key.learn(row.cells.get(key.cell, ""), one)) for key, one in zip(keys, told, strict=True)]
    yield from product(*grown)


def _untouched(desk: Desk, reading: Reading, lesson: Lesson) -> Iterator[Reading]:
    """A part of a number does not change in a lesson that tells of another part."""
    exact = [pair for pair in desk.pairs[lesson.number] if pair.row.spot.kind != "pattern"]
    here = [p for p in desk.pairs[lesson.number] if p.row.spot == reading.spot and reading.cell in p.cells]
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


def _unique(reading: Reading, lines: Iterable[Row]) -> bool:
    """Whether no two lines of a dump would say the same path."""
    said: dict[tuple[str, ...], Mapping[str, str]] = {}
    for row in lines:
        keys = tuple(row.cells.get(key.cell, "") for key in reading.keys)
        rest = {name: text for name, text in row.cells.items() if name != reading.cell}
        if said.setdefault(keys, rest) != rest:
            return False
    return True


def shared_keys(spaces: list[Space]) -> list[Space]:
    """Lines of one kind have one cell for a key: what it says is the same for all that they give."""
    known: dict[tuple[Spot, str, Path], dict[str, str]] = {}
    cells: dict[tuple[Spot, Path], str] = {}
    for _, _, space in spaces:
        for n, key in enumerate(space[0].keys if space else ()):
            if key.cell and all(one.spot == space[0].spot and one.keys[n] == key for one in space):
                spot, cell, prefix = at = _key_at(space[0], n)
                known.setdefault(at, {}).update(key.known)
                cells.setdefault((spot, prefix), cell)
    made = []
    for shape, facts, space in spaces:
        told: dict[Reading, None] = {}
        alike = [one for one in space if _has_keys(one, cells)] or space
        for one in alike:
            grown = [
                [key, *_all_learned(key, known.get(_key_at(one, n), {}).items())][-1]
                for n, key in enumerate(one.keys)
            ]
            told[replace(one, keys=tuple(grown))] = None
        made.append((shape, facts, list(told)))
    return made


def _has_keys(reading: Reading, cells: Mapping[tuple[Spot, Path], str]) -> bool:
    """Whether the keys stand where they surely do for another path of the same lines."""
    places = [_key_at(reading, n) for n in range(len(reading.keys))]
    return all(cells.get((spot, prefix), cell) == cell for spot, cell, prefix in places)


def _key_at(reading: Reading, n: int) -> tuple[Spot, str, Path]:
    ends = [at for at, part in enumerate(reading.shape) if part == ANY]
    return reading.spot, reading.keys[n].cell, reading.shape[: ends[n]]


def _all_learned(key: Key, told: Iterable[tuple[str, str]]) -> Iterator[Key]:
    for text, segment in told:
        grown = next(key.learn(text, segment), None)
        if grown is None:
            return
        key = grown
    yield key


def owned(spaces: list[Space]) -> list[Space]:
    """A cell says one thing, unless it is packed: what surely is one path's is no other's."""
    for _ in spaces:
        owners: dict[tuple[Spot, str], int] = {}
        for n, (_, _, space) in enumerate(spaces):
            cells = {(one.spot, one.cell) for one in space}
            if len(cells) == 1 and not any(isinstance(one.coding, Field | Bit | Scattered) for one in space):
                owners.setdefault(next(iter(cells)), n)
        left = [
            (shape, facts, [one for one in space if owners.get((one.spot, one.cell), n) == n] or space)
            for n, (shape, facts, space) in enumerate(spaces)
        ]
        if left == spaces:
            break
        spaces = left
    return spaces


def fields_apart(spaces: list[Space]) -> list[Space]:
    """Fields of one number do not overlap: where one surely starts, the one below it ends."""
    lows: dict[tuple[Spot, str], set[int]] = {}
    for _, _, space in spaces:
        sure = [one for one in space if isinstance(one.coding, Field | Bit)]
        starts = {one.coding.low for one in sure if isinstance(one.coding, Field | Bit)}
        if space and len(sure) == len(space) and len(starts) == 1:
            lows.setdefault((space[0].spot, space[0].cell), set()).update(starts)
    made = []
    for shape, facts, space in spaces:
        cut: dict[Reading, None] = {}
        for one in space:
            above = [low for low in lows.get((one.spot, one.cell), ()) if isinstance(one.coding, Field)]
            higher = [low for low in above if isinstance(one.coding, Field) and low > one.coding.low]
            if isinstance(one.coding, Field) and higher:
                if min(higher) <= one.coding.least:
                    continue
                one = replace(one, coding=one.coding.below(min(higher)))
            cut[one] = None
        made.append((shape, facts, list(cut) or space))
    return made
