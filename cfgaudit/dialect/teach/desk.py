"""The desk: lessons and dumps, laid out by kinds of lines and their cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.evidence import Entry
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Lesson, Pair, Row, Spot, pairs, patterned, rows
from cfgaudit.dump.read import Dump
from cfgaudit.model.path import Path


class Desk(Struct, frozen=True, dict=True):
    """Lessons and dumps, laid out."""

    lessons: tuple[Lesson, ...]
    pairs: Mapping[int, tuple[Pair, ...]]  # by the lesson's number
    dumps: tuple[Mapping[Spot, tuple[Row, ...]], ...]
    texts: Mapping[tuple[Spot, str], frozenset[str]]  # what each cell holds anywhere
    entries: tuple[Entry, ...] = ()  # what the dialect says already
    outer: frozenset[tuple[int, str]] = frozenset()  # the cells that all lines of a scope share

    def home(self, spot: Spot, cell: str) -> Spot:
        """What a cell belongs to: its kind of line, or the whole scope."""
        return Spot(spot.scope, "scope", "") if (spot.scope, cell) in self.outer else spot

    @cached_property
    def keys(self) -> Mapping[tuple[Spot, Path], Key]:
        """What the dialect says of keys, by what they belong to and the path in front of them."""
        told = (one.reading for one in self.entries)
        return {
            (self.home(one.spot, key.cell), prefix): key
            for one in told
            for prefix, key in zip(one.prefixes, one.keys, strict=True)
            if key.cell
        }

    @cached_property
    def owners(self) -> Mapping[tuple[Spot, str], Path]:
        """The cells that say one path as a whole by the dialect, and its shape."""
        told = (one.reading for one in self.entries)
        return {(one.spot, one.cell): one.shape for one in told if not one.parts}

    def rows(self, spot: Spot) -> Iterator[Row]:
        """All lines of a kind in the dumps and the lessons."""
        for dump in self.dumps:
            yield from dump.get(spot, ())
        yield from self._taught.get(spot, ())

    @cached_property
    def _taught(self) -> Mapping[Spot, Sequence[Row]]:
        """The lines of the lessons by their kinds."""
        made: dict[Spot, list[Row]] = {}
        for pair in (pair for some in self.pairs.values() for pair in some):
            for row in (pair.before, pair.after):
                if isinstance(row, Row):
                    made.setdefault(row.spot, []).append(row)
        return made

    def changed(self, lesson: Lesson, spot: Spot) -> Sequence[Pair]:
        """The changed lines of a kind in a lesson."""
        return self._changed.get((lesson.number, spot), ())

    @cached_property
    def _changed(self) -> Mapping[tuple[int, Spot], Sequence[Pair]]:
        made: dict[tuple[int, Spot], list[Pair]] = {}
        for number, some in self.pairs.items():
            for pair in some:
                made.setdefault((number, pair.row.spot), []).append(pair)
        return made


def desk_of(
    dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump], entries: Sequence[Entry] = ()
) -> Desk:
    """Lessons and dumps read by the dialect's lines, and what it says of them already."""
    told = {}
    for lesson in lessons:
        exact = pairs(dialect, lesson)
        told[lesson.number] = (
            *exact,
            *(p for one in exact if (p := one.patterned()).row.spot != one.row.spot),
        )
    made = []
    texts: dict[tuple[Spot, str], set[str]] = {}
    for dump in dumps:
        kinds: dict[Spot, dict[Row, None]] = {}
        for row in rows(dialect, dump.statements):
            for view in dict.fromkeys((row.spot, patterned(row).spot)):
                seen = row if view == row.spot else patterned(row)
                kinds.setdefault(view, {})[_hashed(seen)] = None
        made.append({spot: tuple(some) for spot, some in kinds.items()})
    every = [row for dump in made for some in dump.values() for row in some]
    every += [r for some in told.values() for p in some for r in (p.before, p.after) if isinstance(r, Row)]
    for row in every:
        for cell, text in row.cells.items():
            texts.setdefault((row.spot, cell), set()).add(text)
    held = {at: frozenset(some) for at, some in texts.items()}
    outer = frozenset((n, cell) for n, scope in enumerate(dialect.scopes) for cell in scope.cells)
    return Desk(tuple(lessons), told, tuple(made), held, tuple(entries), outer)


class _Cells(dict[str, str]):
    """Cells that can be looked up by."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(self.items()))


def _hashed(row: Row) -> Row:
    return Row(row.spot, _Cells(row.cells), row.under, row.text)
