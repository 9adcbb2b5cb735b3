"""A setting that versions write differently, as far as it is known without the version."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from cfgaudit.dialect.cell import UNDECLARED, Cell
from cfgaudit.dialect.codec.codec import ANY, Range
from cfgaudit.dialect.codec.words import Free
from cfgaudit.dialect.form import Form

_WAITS = ("", "restart", "power cycle")  # the shortest first


def in_any_version(ways: Sequence[Form]) -> Form:
    """What holds for a setting whatever the version is; ``ways`` are at least one.

    Where all of them are written alike and only ranges or defaults differ, a value can be read, and is
    out of range if no version would take it. Otherwise a number may mean this or that: the setting is a
    text, and gives nothing.
    """
    if len(ways) == 1:
        return ways[0]
    first, cells = ways[0], [way.cells["value"] for way in ways]
    alike = all(way.gifts == first.gifts for way in ways) and all(
        cell.codec == cells[0].codec for cell in cells
    )
    one_default = all(cell.default == cells[0].default for cell in cells)
    made = Cell(
        codec=cells[0].codec if alike else Free(),
        range=_widest([cell.range for cell in cells]) if alike else ANY,
        default=cells[0].default if alike and one_default else UNDECLARED,
        private=any(cell.private for cell in cells),
        after=max((cell.after for cell in cells), key=_WAITS.index),
    )
    gifts = first.gifts if alike else ()
    return replace(first, cells={"value": made}, gifts=gifts, since="", until="", ways=tuple(ways))


def _widest(ranges: Sequence[Range]) -> Range:
    return Range(min(one.low for one in ranges), max(one.high for one in ranges))
