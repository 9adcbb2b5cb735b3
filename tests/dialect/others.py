"""For a value of a cell, other values that the cell may have."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.bits import Bits
from cfgaudit.dialect.codec.codec import Codec, Misfit
from cfgaudit.dialect.codec.number import Integer, Scaled
from cfgaudit.dialect.codec.pin import Pin
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Flag, Free, Words
from cfgaudit.model.value import Value

TEXTS = ("x", "two words", 'a "b" \\ # c', "abcd", "AETR", "TAER", "-", "1/6", "2/0", "0-1", "")


def others(cell: Cell, field: str, value: Value) -> list[Value]:
    """Values that differ from the one given, in range, and that the codec can write."""
    part = cell.fields[field] if field else cell
    return [
        one
        for one in dict.fromkeys(_tried(part.codec, value))
        if one != value
        and not part.range.outside(one)
        and _can_be(part.codec, one)
        and _fits(cell, field, one)
    ]


def _can_be(codec: Codec, value: Value) -> bool:
    try:
        return codec.read(codec.write(value)) == value
    except Misfit:
        return False


def _fits(cell: Cell, field: str, value: Value) -> bool:
    if not field:
        return True
    try:
        cell.fields[field].put(value)
    except Misfit:
        return False
    return True


def _tried(codec: Codec, value: Value) -> Iterator[Value]:
    match codec, value:
        case Integer(), int():
            yield from (value + 1, value - 1, value + 10, value - 10)
        case Scaled(), float() | int():
            step = codec.by.scaleb(-codec.places)
            yield from (float(Decimal(str(value)) + step * n) for n in (1, -1, 10, -10))
        case Words(), _:
            yield from codec.values.values()
        case Flag(), bool():
            yield not value
        case Bits(), tuple():
            for word in codec.words.values():
                yield tuple(one for one in codec.words.values() if (one in value) != (one == word))
        case Series(), tuple():
            yield value[:-1]
            for more in codec.of.values.values() if isinstance(codec.of, Words) else (1, 2, "x", "y"):
                yield (*value, more)
        case Pin(), _:
            yield from ("PA3", "PB14", "none")
        case Free(), _:
            yield from TEXTS
