"""Evidence: what the dialect's own entries say already, by hand, by a draft or by earlier lessons.

An entry is a reading that somebody has written down. What lessons have left open is marked by a note
in the file (``SO_FAR``), and counts as nothing until it is settled.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.bits import Bits, Packed
from cfgaudit.dialect.codec.pin import Pin
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Words
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.teach.coding import Coding
from cfgaudit.dialect.teach.fact import ANY, shape
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Spot
from cfgaudit.dialect.teach.lists import Listed, Mask
from cfgaudit.dialect.teach.own import Own
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.words import Pinned, Table
from cfgaudit.model.placed import Placed, Trail

SO_FAR = "right so far, not settled"  # the note at a cell of which the lessons leave more than one reading

# How a draft marks what it has solved for, and what it doubts, in the remarks beside it
_DRAFTED = re.compile(r"#\s*(?:settled:|.*\bdoubt:)")
_REMARK = re.compile(r"\s*#")


class Entry(Struct, frozen=True):
    """What the dialect says of a path. ``drafted``: a draft has guessed it, so a lesson knows better."""

    reading: Reading
    drafted: bool

    @property
    def said(self) -> str:
        """How messages call the entry."""
        return f"the dialect's own entry for {self.reading.path}: {self.reading.said_with_keys}"


def entries(placed: Placed, dialect: Dialect) -> tuple[Entry, ...]:
    """Everything that the dialect's file says, but what is only right so far."""
    page: Any = placed.data
    found = []
    for n, scope in enumerate(dialect.scopes):
        home = page["scopes"][n - 1] if n else page
        trail: Trail = ("scopes", n - 1) if n else ()
        lines = placed.text.splitlines()
        for form, spot, way, specs in _kinds(scope, n, home):
            outer = {name: ("cells", name) for name in scope.cells}
            inner = {name: (*way, name) if way[:1] == ("forms",) else way for name in specs}
            trails = {name: (*trail, *at) for name, at in {**outer, **inner}.items()}
            known = {**scope.cells, **form.cells}
            told = {**home.get("cells", {}), **specs} if n else specs
            for gift in form.gifts:
                cells = {gift.cell, *gift.path.cells}
                if any(SO_FAR in _note(told.get(name)) for name in cells):
                    continue
                if reading := _reading(gift, spot, known):
                    drafted = any(_drafted(placed, lines, trails[name]) for name in cells if name in trails)
                    found.append(Entry(reading, drafted))
    return tuple(found)


def _kinds(
    scope: Scope, n: int, home: Mapping[str, Any]
) -> Iterator[tuple[Form, Spot, Trail, Mapping[str, Any]]]:
    """A scope's kinds of lines: where each stands in the file, and its cells as written there."""
    for m, form in enumerate(scope.forms):
        yield form, Spot(n, "form", form.line.text), ("forms", m, "cells"), home["forms"][m].get("cells", {})
    for name, form in scope.settings.items():
        yield form, Spot(n, "setting", name), ("settings", name), {"value": home["settings"][name]}
    if scope.form:
        yield scope.form, Spot(n, "opens", scope.form.line.text), ("cells",), {}


def _note(spec: Any) -> str:
    return str(spec.get("note", "")) if isinstance(spec, dict) else ""


def _drafted(placed: Placed, lines: list[str], trail: Trail) -> bool:
    """Whether the remarks beside a cell, or right above it, are those of a draft."""
    at = placed.named(trail).line - 1
    beside = [lines[at]] if at < len(lines) else []
    while at > 0 and _REMARK.match(lines[at - 1]):
        at -= 1
        beside.append(lines[at])
    return any(_DRAFTED.search(line) for line in beside)


def _reading(gift: Gift, spot: Spot, cells: Mapping[str, Cell]) -> Reading | None:
    """The entry as a reading; None for what no fact can speak of."""
    segments, holes = gift.path.segments, gift.path.holes
    told = shape(tuple("x" if hole else part for part, hole in zip(segments, holes, strict=True)))
    keys = []
    for part, hole, kind in zip(segments, holes, told, strict=True):
        if kind == ANY:
            keys.append(_key(part, cells[part]) if hole else Key("", (("", part),)))
        elif hole:
            return None
    coding = _coding(cells[gift.cell], gift.field)
    return Reading(told, spot, gift.cell, coding, tuple(keys))


def _key(name: str, cell: Cell) -> Key:
    codec = cell.codec
    if isinstance(codec, Words):
        return Key(name, tuple(sorted((text, str(value)) for text, value in codec.values.items())))
    return Key(name, rule=Own(codec, repr(codec)))


def _coding(cell: Cell, field: str) -> Coding:
    """A codec as what lessons go on with: tables grow, rules are held to."""
    codec = cell.codec
    if isinstance(codec, Packed):
        return Own(codec, repr(codec), field)
    if isinstance(codec, Bits):
        return Mask(codec.base, tuple(sorted(codec.words.items())))
    if isinstance(codec, Words):
        return Table(tuple(sorted(codec.values.items())))
    if isinstance(codec, Pin):
        none = () if codec.none == Pin().none else codec.none  # "none" may be nobody's word
        return Pinned(codec.written, tuple(sorted(none)))
    if isinstance(codec, Series) and isinstance(codec.of, Words):
        words = tuple(sorted((text, str(value)) for text, value in codec.of.values.items()))
        return Listed(codec.separator, words, (codec.empty,) if codec.empty else ())
    return Own(codec, repr(codec))
