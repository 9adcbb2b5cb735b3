"""Tables: the lines that speak of the same kind of thing, brought together by what names it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from cfgaudit.dialect.draft.group import Field, Group, Opening, Place, Sketch, Table

_HOLE = re.compile(r"\{[^}]*\}")


def tables(sketch: Sketch) -> tuple[Table, ...]:
    """Every table of a dump: rows with a key, names with an index inside, scopes with a name."""
    words = sketch.assignment.split(sketch.separator)
    name_word = next(n for n, word in enumerate(words) if word.startswith("{name}"))
    plain = [one for one in sketch.groups if not one.opens and not one.is_setting and len(one.key) == 1]
    sign = sketch.separator
    indexed = [one for one in plain if _index_at(one, name_word, sign) > 0]
    rows = [one for one in plain if one not in indexed and not one.line.startswith("{")]
    return (*_rows(rows), *_indexed(indexed, name_word, sign), *_scoped(sketch))


def keyed(sketch: Sketch) -> tuple[Table, ...]:
    """Rows by each further column that tells them apart: what names a row need not stand first."""
    found = []
    for group in sketch.groups:
        if group.opens or group.is_setting or group.line.startswith("{") or len(group.rows) < 2:
            continue
        for cell in group.cells:
            names = group.column(cell)
            apart = len(set(names)) == len(names) and not any(" " in name for name in names)
            if apart and group.key != (cell,):
                found.append(replace(group, key=(cell,)))
    return tuple(_rows(found))


def _index_at(group: Group, name_word: int, sign: str) -> int:
    """Where in the name of an assignment its index stands, or -1."""
    words = group.line.split(sign)
    return words[name_word].find("{n}") if group.key == ("n",) and len(words) > name_word else -1


def _own(group: Group, sign: str = " ") -> Iterator[Field]:
    names = group.column(group.key[0])
    name = group.line.split(sign)[0]
    # of columns with one value the name says all
    label = name if sign == "," and len(group.cells) == 2 else ""
    for cell in group.cells:
        if cell not in group.key:
            texts = dict(zip(names, group.column(cell), strict=True))
            said = dict(zip(names, group.said, strict=True))
            shown = _HOLE.sub("*", label or f"{group.line}, {cell}")
            yield Field(group.place, cell, shown, texts, False, said)


def _rows(groups: Iterable[Group]) -> Iterator[Table]:
    for group in groups:
        names = tuple(dict.fromkeys(group.column(group.key[0])))
        yield Table(group.line, names, ((group.place, group.key[0]),), tuple(_own(group)))


def _indexed(groups: Iterable[Group], name_word: int, sign: str) -> Iterator[Table]:
    """``serial/{n}/duty : …`` and ``serial/{n}/speed : …`` are one table."""
    found: dict[str, list[Group]] = defaultdict(list)
    for group in groups:
        word = group.line.split(sign)[name_word]
        found[word[: word.index("{")]].append(group)
    for stem, members in found.items():
        names = tuple(dict.fromkeys(name for group in members for name in group.column("n")))
        named_by: tuple[tuple[Place, str], ...] = tuple((group.place, "n") for group in members)
        yield Table(
            f"{stem}*", names, named_by, tuple(field for group in members for field in _own(group, sign))
        )


def _scoped(sketch: Sketch) -> Iterator[Table]:
    for opening in sketch.openings:
        if len(opening.cells) == 1:
            yield _of_scope(opening, [one for one in sketch.groups if one.opens == opening.opens])


def _of_scope(opening: Opening, groups: list[Group]) -> Table:
    names = tuple(dict.fromkeys(row[0] for row in opening.rows))
    fields = tuple(
        Field(
            group.place,
            cell,
            group.line if group.is_setting else f"{_HOLE.sub('*', group.line)}, {cell}",
            {outer[0]: text for outer, text in zip(group.outer, group.column(cell), strict=True)},
            group.is_setting,
            {outer[0]: said for outer, said in zip(group.outer, group.said, strict=True)},
        )
        for group in groups
        if group.is_setting or not group.key
        for cell in group.cells
    )
    return Table(f"[{opening.opens}]", names, (((opening.opens, "", False), opening.cells[0]),), fields)
