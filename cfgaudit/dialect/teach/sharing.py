"""Sharing: what one path's readings tell of another's on the same lines: keys, cells, bits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Spot
from cfgaudit.dialect.teach.packed import Bit, Field
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.space import Space
from cfgaudit.model.path import Path

_KeyAt = tuple[Spot, str, Path]  # what a key belongs to, its cell, and the path in front of it


def shared_keys(desk: Desk, spaces: Sequence[Space]) -> list[Space]:
    """Lines of one kind have one cell for a key: what it says is the same for all that they give.

    Where two paths have told otherwise, the later of them has no reading left.
    """
    spaces = _one_cell_a_key(desk, spaces)
    known: dict[_KeyAt, Key] = {}
    cells: dict[tuple[Spot, Path], str] = {}
    for n, at, key in _sure_keys(desk, spaces):
        spot, cell, prefix = at
        cells.setdefault((spot, prefix), cell)
        if at not in known:
            known[at] = key
        elif not key.agrees(known[at]):
            spaces = [*spaces[:n], _clashing(desk, spaces[n], at, known[at]), *spaces[n + 1 :]]
        elif known[at].rule is None:
            known[at] = [known[at], *_all_learned(known[at], key.known)][-1]
    made = []
    for each in spaces:
        alike = [one for one in each.readings if _has_keys(desk, one, cells)] or each.readings
        agreeing = [one for one in alike if _agrees(desk, one, known)] or alike
        told: dict[Reading, None] = {}
        for one in agreeing:
            sure = [known.get(_key_at(desk, one, n), key).known for n, key in enumerate(one.keys)]
            grown = [[key, *_all_learned(key, some)][-1] for key, some in zip(one.keys, sure, strict=True)]
            told[replace(one, keys=tuple(grown))] = None
        made.append(replace(each, readings=tuple(told)))
    return made


def _one_cell_a_key(desk: Desk, spaces: Sequence[Space]) -> Sequence[Space]:
    """The readings whose keys stand in cells that may say them for all paths of the same lines."""
    may: dict[tuple[Spot, Path], set[str]] = {}
    for space in spaces:
        if len({one.spot for one in space.readings}) != 1:
            continue
        for n, prefix in enumerate(space.readings[0].prefixes):
            at = _key_at(desk, space.readings[0], n)[0], prefix
            here = {one.keys[n].cell for one in space.readings}
            may[at] = may.get(at, here) & here
    made = []
    for space in spaces:
        alike = tuple(
            one
            for one in space.readings
            if all(
                key.cell in (may.get((_key_at(desk, one, n)[0], prefix)) or (key.cell,))
                for n, (key, prefix) in enumerate(zip(one.keys, one.prefixes, strict=True))
            )
        )
        made.append(replace(space, readings=alike or space.readings))
    return made


def _sure_keys(desk: Desk, spaces: Sequence[Space]) -> Iterator[tuple[int, _KeyAt, Key]]:
    """The keys of which all readings of a path say the same, and the number of the path."""
    for number, space in enumerate(one.readings for one in spaces):
        for n, key in enumerate(space[0].keys if space else ()):
            if key.cell and all(one.spot == space[0].spot and one.keys[n] == key for one in space):
                yield number, _key_at(desk, space[0], n), key


def _clashing(desk: Desk, space: Space, at: _KeyAt, other: Key) -> Space:
    """A path without a reading: its lines' key has been told otherwise, by the lessons given."""
    spot, cell, prefix = at
    told = {text: segment for one in space.readings for key in one.keys for text, segment in key.known}
    names = {*told.values()} | {other.read(text) for text in told}
    named = {(*prefix, name) for name in names}
    against = [
        one
        for one in desk.lessons
        if any(fact.path[: len(prefix) + 1] in named for fact in one.facts)
        and any(desk.home(pair.row.spot, cell) == spot for pair in desk.pairs[one.number])
    ]
    return replace(space, readings=(), against=tuple(against))


def _agrees(desk: Desk, reading: Reading, known: Mapping[_KeyAt, Key]) -> bool:
    """Whether a reading's keys say what is surely said of the same lines."""
    places = [_key_at(desk, reading, n) for n in range(len(reading.keys))]
    return all(key.agrees(known.get(at, key)) for key, at in zip(reading.keys, places, strict=True))


def _has_keys(desk: Desk, reading: Reading, cells: Mapping[tuple[Spot, Path], str]) -> bool:
    """Whether the keys stand where they surely do for another path of the same lines."""
    places = [_key_at(desk, reading, n) for n in range(len(reading.keys))]
    return all(cells.get((spot, prefix), cell) == cell for spot, cell, prefix in places)


def _key_at(desk: Desk, reading: Reading, n: int) -> _KeyAt:
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
