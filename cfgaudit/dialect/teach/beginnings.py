"""What to begin with: the codings of a cell that nothing has been told of."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from decimal import Decimal
from functools import cache

from cfgaudit.dialect.teach.coding import INTEGER, SIGNED, WRITTEN, Coding
from cfgaudit.dialect.teach.fact import values_of
from cfgaudit.dialect.teach.lists import Listed, Mask
from cfgaudit.dialect.teach.numbers import Ruled
from cfgaudit.dialect.teach.packed import FIELD_MOST, Bit, Field, Scattered
from cfgaudit.dialect.teach.words import Pinned, Plain, Table
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value

OFFSET_MOST = 1024
INDEX_MOST = 40  # the largest number that stands for another one by a table
STEPS_MOST = 255  # the most steps in which a pulse is counted
_MANTISSAS = (1, 2, 4, 5, 8, 25, 125)
_EXPONENTS = range(-6, 5)
_SEPARATORS = (",", "+", "|", ";", "/")


def beginnings(
    kind: str, texts: Collection[str], packable: bool, points: Collection[tuple[str, Value]]
) -> Iterator[Coding]:
    """The readings of a cell that nothing has been told of, by what the model has there.

    ``texts`` are what the cell holds in the dumps and lessons; ``packable`` says that several values
    may share the number; ``points`` are texts and values of which one at the least is right.
    """
    hexes = [text for text in texts if INTEGER[16].fullmatch(text)]
    base = 16 if hexes and len(hexes) == len(texts) else 10
    whole = all(INTEGER[base].fullmatch(text) for text in texts)
    if kind == "list":
        if whole:
            yield Mask(base)
        signs = [sign for sign in _SEPARATORS if any(sign in text for text in texts)]
        yield from (Listed(sign) for sign in signs)
        if not signs:
            yield Listed("")
    if kind in ("number", "any"):
        yield from _rules(texts, base, points)
        if whole and packable:
            yield from (Field(low, low, FIELD_MOST - 1, base) for low in range(FIELD_MOST))
    if kind == "flag":
        if len(texts) < 3 or not whole:
            yield Table()
        if whole and (packable or len(texts) > 2):
            yield from (Bit(bit, clear, base) for bit in range(FIELD_MOST) for clear in (False, True))
    if kind in ("word", "any"):
        yield Table()
    if kind == "pin":
        yield Pinned()
    if kind == "name":
        yield Plain()


def _rules(texts: Collection[str], base: int, points: Collection[tuple[str, Value]]) -> Iterator[Ruled]:
    places = {len(found[1]) for text in texts if (found := WRITTEN.fullmatch(text))}
    steps = {
        value - int(text, base)
        for text, value in points
        if isinstance(value, int) and (SIGNED if base == 10 else INTEGER[16]).fullmatch(text)
    }
    if len(places) == 1:
        for by in _scales():
            yield Ruled(by, places=next(iter(places)))
    elif base == 16:
        yield from (Ruled(Decimal(1), step, base=16) for step in sorted(steps) if abs(step) <= OFFSET_MOST)
    else:
        yield from (Ruled(by) for by in _scales())
        yield from (Ruled(Decimal(1), step) for step in sorted(steps) if 0 < abs(step) <= OFFSET_MOST)


@cache
def _scales() -> tuple[Decimal, ...]:
    made = {
        Decimal(mantissa).scaleb(exponent).normalize() for mantissa in _MANTISSAS for exponent in _EXPONENTS
    }
    return tuple(sorted(made, key=lambda by: (by != 1, by)))


def index_most(path: Path) -> int:
    """The largest number by which a firmware may write another one that a path has.

    Of paths with a few values in practice it may be any; pulses are counted in steps.
    """
    if values_of(path):
        return 10**15
    return STEPS_MOST if path[-1].endswith("_us") else INDEX_MOST


def forced(kind: str, texts: Collection[str], packable: bool, most: int = INDEX_MOST) -> Iterator[Coding]:
    """What is tried when no simpler reading fits: scattered bits, and a table.

    They could explain nearly anything, so they are tried only where firmwares have them: a table
    counts with words, or with numbers up to ``most``.
    """
    hexes = [text for text in texts if INTEGER[16].fullmatch(text)]
    base = 16 if hexes and len(hexes) == len(texts) else 10
    if kind in ("number", "any"):
        if packable:
            if not all(INTEGER[base].fullmatch(text) for text in texts):
                return
            every = frozenset(range(FIELD_MOST))
            yield Scattered((every,) * 10, base)
        elif all(0 <= int(text) <= most if SIGNED.fullmatch(text) else " " not in text for text in texts):
            yield Table()
