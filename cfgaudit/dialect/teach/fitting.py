"""Fitting: which readings explain all lessons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.teach.beginnings import beginnings, forced
from cfgaudit.dialect.teach.coding import Told
from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.evidence import Entry
from cfgaudit.dialect.teach.fact import ANY, Fact, Untold, kind_of, values_of
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Lesson, Pair, Row, Spot
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.dialect.teach.reading import PACKED, Reading
from cfgaudit.model.path import Path

READINGS_MOST = 20_000  # that are looked at together


class Space(Struct, frozen=True):
    """The readings that fit what the lessons say of a shape.

    ``grown`` says that they come from the dialect's own ``entries``; else those were overruled.
    """

    shape: Path
    facts: tuple[Fact, ...]
    readings: tuple[Reading, ...]
    entries: tuple[Entry, ...] = ()
    grown: bool = False


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
            yield Space(shape, tuple(some), tuple(grown), (entry,), True)
        elif entry.drafted or _backed(desk, entry, some):
            overruled.append(entry)
            free += some
        else:
            yield Space(shape, tuple(some), (), (entry,))
    missed = [one for one in own if any(_speaks_of(one, fact) for fact in free) and one not in claimed]
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


def _backed(desk: Desk, entry: Entry, facts: Sequence[Fact]) -> bool:
    """Whether some lesson alone agrees with an entry."""
    telling = [one for one in desk.lessons if any(fact in facts for fact in one.facts)]
    return any(
        grown_from(desk, [entry.reading], [fact for fact in facts if fact in one.facts], [one])
        for one in telling
    )


def _learned_alone(desk: Desk, shape: Path, facts: Sequence[Fact]) -> Iterator[Space]:
    """The readings by the lessons; if no one kind of line says all of it, those of each path."""
    facts = tuple(facts)
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


def fitting(desk: Desk, facts: Sequence[Fact], only: Sequence[Lesson] = ()) -> list[Reading]:
    """The readings that fit all lessons, of the simplest sort that has any.

    Keys and cells of which the dialect speaks already are taken at its word, unless a draft has
    guessed them and nothing fits so.
    """
    guessed = any(one.drafted for one in desk.entries)
    sure = replace(desk, entries=tuple(one for one in desk.entries if not one.drafted))
    for at in (desk, sure) if guessed else (desk,):
        for stage in range(3):
            if found := _at_stage(at, facts, stage, only or desk.lessons):
                return found
    return []


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
                forced(kind, texts, packed, bool(values_of(fact.path)))
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


def _unique(reading: Reading, lines: Iterable[Row]) -> bool:
    """Whether no two lines of a dump would say the same path."""
    said: dict[tuple[str, ...], Mapping[str, str]] = {}
    for row in lines:
        keys = tuple(row.cells.get(key.cell, "") for key in reading.keys)
        rest = {name: text for name, text in row.cells.items() if name != reading.cell}
        if said.setdefault(keys, rest) != rest:
            return False
    return True


def shared_keys(desk: Desk, spaces: list[Space]) -> list[Space]:
    """Lines of one kind have one cell for a key: what it says is the same for all that they give."""
    known: dict[tuple[Spot, str, Path], dict[str, str]] = {}
    cells: dict[tuple[Spot, Path], str] = {}
    for space in (one.readings for one in spaces):
        for n, key in enumerate(space[0].keys if space else ()):
            if key.cell and all(one.spot == space[0].spot and one.keys[n] == key for one in space):
                spot, cell, prefix = at = _key_at(desk, space[0], n)
                known.setdefault(at, {}).update(key.known)
                cells.setdefault((spot, prefix), cell)
    made = []
    for each in spaces:
        told: dict[Reading, None] = {}
        alike = [one for one in each.readings if _has_keys(desk, one, cells)] or each.readings
        for one in alike:
            grown = [
                [key, *_all_learned(key, known.get(_key_at(desk, one, n), {}).items())][-1]
                for n, key in enumerate(one.keys)
            ]
            told[replace(one, keys=tuple(grown))] = None
        made.append(replace(each, readings=tuple(told)))
    return made


def _has_keys(desk: Desk, reading: Reading, cells: Mapping[tuple[Spot, Path], str]) -> bool:
    """Whether the keys stand where they surely do for another path of the same lines."""
    places = [_key_at(desk, reading, n) for n in range(len(reading.keys))]
    return all(cells.get((spot, prefix), cell) == cell for spot, cell, prefix in places)


def _key_at(desk: Desk, reading: Reading, n: int) -> tuple[Spot, str, Path]:
    cell = reading.keys[n].cell
    return desk.home(reading.spot, cell), cell, reading.prefixes[n]


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
        for n, space in enumerate(one.readings for one in spaces):
            cells = {(one.spot, one.cell) for one in space}
            if len(cells) == 1 and not any(one.parts for one in space):
                owners.setdefault(next(iter(cells)), n)
        left = []
        for n, each in enumerate(spaces):
            mine = tuple(one for one in each.readings if owners.get((one.spot, one.cell), n) == n)
            left.append(replace(each, readings=mine or each.readings))
        if left == spaces:
            break
        spaces = left
    return spaces


def fields_apart(spaces: list[Space]) -> list[Space]:
    """Fields of one number do not overlap: where one surely starts, the one below it ends."""
    lows: dict[tuple[Spot, str], set[int]] = {}
    for space in (one.readings for one in spaces):
        sure = [one for one in space if isinstance(one.coding, Field | Bit)]
        starts = {one.coding.low for one in sure if isinstance(one.coding, Field | Bit)}
        if space and len(sure) == len(space) and len(starts) == 1:
            lows.setdefault((space[0].spot, space[0].cell), set()).update(starts)
    made = []
    for each in spaces:
        cut: dict[Reading, None] = {}
        for one in each.readings:
            above = [low for low in lows.get((one.spot, one.cell), ()) if isinstance(one.coding, Field)]
            higher = [low for low in above if isinstance(one.coding, Field) and low > one.coding.low]
            if isinstance(one.coding, Field) and higher:
                if min(higher) <= one.coding.least:
                    continue
                one = replace(one, coding=one.coding.below(min(higher)))
            cut[one] = None
        made.append(replace(each, readings=tuple(cut) or each.readings))
    return made
