"""OSD elements on a canvas: which lie outside, which lie on each other, and where there is room.

An element is one row high and ``width`` cells wide. Elements are taken in reading order (row, then
column), so that of two that overlap the later one is the one to move.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from cfgaudit.derive.canvas import Canvas

# Drawn across the picture, under the others, on purpose.
_BACKGROUND = frozenset({"horizon"})


@dataclass(frozen=True, slots=True)
class Element:
    """A shown element; ``width`` is None where nobody tells it."""

    name: str
    column: int
    row: int
    width: int | None

    @property
    def order(self) -> tuple[int, int, str]:
        """Reading order."""
        return self.row, self.column, self.name

    @property
    def reach(self) -> int:
        """The cells it is known to take: 1 at least."""
        return self.width or 1

    @property
    def cells(self) -> frozenset[tuple[int, int]]:
        """The cells it is known to take, as (row, column)."""
        return frozenset((self.row, self.column + step) for step in range(self.reach))


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an element should be; not ``shown`` where the canvas has no room for it."""

    column: int
    row: int
    shown: bool = True


def covered(element: Element, elements: Iterable[Element]) -> tuple[Element, ...]:
    """The earlier elements that this one lies on, for as much as their widths are known."""
    return tuple(one for one in _earlier(element, elements) if one.cells & element.cells)


def unmeasured(element: Element, elements: Iterable[Element]) -> tuple[Element, ...]:
    """The elements without a width that decide whether this one lies on an earlier one."""
    if element.name in _BACKGROUND:
        return ()
    earlier = tuple(_earlier(element, elements))
    return tuple(one for one in earlier if one.row == element.row and one.width is None)


def spots(elements: Iterable[Element], canvas: Canvas) -> Mapping[str, Spot]:
    """Where each element should be: as it is if nothing is wrong with it, else the nearest free place."""
    elements = sorted(elements, key=lambda element: element.order)
    good = [
        element
        for element in elements
        if canvas.holds(element.column, element.row, element.reach) and not covered(element, elements)
    ]
    taken = {cell for element in good if element.name not in _BACKGROUND for cell in element.cells}
    found = {element.name: Spot(element.column, element.row) for element in good}
    for element in elements:
        if element.name in found:
            continue
        spot = min(_free(element, taken, canvas), default=None)
        if spot is None:
            found[element.name] = Spot(element.column, element.row, shown=False)
            continue
        _, row, column = spot
        found[element.name] = Spot(column, row)
        taken |= {(row, column + step) for step in range(element.reach)}
    return found


def _earlier(element: Element, elements: Iterable[Element]) -> Iterator[Element]:
    if element.name not in _BACKGROUND:
        yield from (one for one in elements if one.order < element.order and one.name not in _BACKGROUND)


def _free(element: Element, taken: set[tuple[int, int]], canvas: Canvas) -> Iterator[tuple[int, int, int]]:
    """Free places as (distance, row, column); a row away counts as two columns."""
    for row in range(canvas.rows):
        for column in range(canvas.columns - element.reach + 1):
            if not any((row, column + step) in taken for step in range(element.reach)):
                yield abs(row - element.row) * 2 + abs(column - element.column), row, column
