"""The desk: lessons and dumps, laid out by kinds of lines and their cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.lesson import Lesson, Pair, Row, Spot, pairs, patterned, rows
from cfgaudit.dump.read import Dump


class Desk(Struct, frozen=True):
    """Lessons and dumps, laid out."""

    lessons: tuple[Lesson, ...]
    pairs: Mapping[int, tuple[Pair, ...]]  # by the lesson's number
    dumps: tuple[Mapping[Spot, tuple[Row, ...]], ...]
    texts: Mapping[tuple[Spot, str], frozenset[str]]  # what each cell holds anywhere

    def rows(self, spot: Spot) -> Iterator[Row]:
        """All lines of a kind in the dumps and the lessons."""
        for dump in self.dumps:
            yield from dump.get(spot, ())
        for some in self.pairs.values():
            for pair in some:
                yield from (r for r in (pair.before, pair.after) if isinstance(r, Row) and r.spot == spot)


def desk_of(dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump]) -> Desk:
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
    return Desk(tuple(lessons), told, tuple(made), {at: frozenset(some) for at, some in texts.items()})


class _Cells(dict[str, str]):
    """Cells that can be looked up by."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(self.items()))


def _hashed(row: Row) -> Row:
    return Row(row.spot, _Cells(row.cells), row.under, row.text)
