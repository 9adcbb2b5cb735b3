"""OSD canvases: the character grids that an overlay chip or a digital video unit draws.

Sizes are common practice of the trade, from memory: no standard fixes them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct


class Canvas(Struct, frozen=True, order=True):
    """A grid of character cells; columns and rows count from 0."""

    columns: int
    rows: int

    @property
    def cells(self) -> int:
        """How many characters a whole redraw sends."""
        return self.columns * self.rows

    def holds(self, column: int, row: int, width: int = 1) -> bool:
        """Whether ``width`` cells (≥ 1) from this one on lie inside, none cut off."""
        return column >= 0 and column + width <= self.columns and 0 <= row < self.rows

    def __str__(self) -> str:
        return f"{self.columns}x{self.rows}"


# What an analogue overlay chip draws, by the camera's standard (the words of osd.standard).
CHIP: Mapping[str, Canvas] = MappingProxyType({"ntsc": Canvas(30, 13), "pal": Canvas(30, 16)})

# What digital video units draw over MSP DisplayPort.
SERIAL: tuple[Canvas, ...] = (Canvas(50, 18), Canvas(53, 20), Canvas(60, 22))

_SIZE = re.compile(r"([1-9][0-9]{0,2})x([1-9][0-9]{0,2})", re.ASCII)


def canvas(size: str) -> Canvas:
    """``"53x20"`` → 53 columns, 20 rows. ValueError for any other form."""
    match = _SIZE.fullmatch(size)
    if not match:
        raise ValueError(f"{size!r} is not COLUMNSxROWS")
    return Canvas(int(match[1]), int(match[2]))
