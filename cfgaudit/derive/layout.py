"""OSD elements on a canvas: which lie outside, which lie on each other, and where there is room.

An element is one row high and ``width`` cells wide. Elements are taken in reading order (row, then
column), so that of two that overlap the later one is the one to move.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.derive.canvas import Canvas

# Drawn across the picture, under the others, on purpose.
_BACKGROUND = frozenset({"horizon", "crosshair"})


class Element(Struct, frozen=True):
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
    def end(self) -> int:
        """The first column after it, as far as its width is known."""
        return self.column + self.reach

    def touches(self, other: Element) -> bool:
        """Whether both are known to take a cell in common."""
        return self.row == other.row and self.column < other.end and other.column < self.end


class Spot(Struct, frozen=True):
    """Where an element should be; not ``shown`` where the canvas has no room for it."""

    column: int
    row: int
    shown: bool = True


def covered(element: Element, elements: Iterable[Element]) -> tuple[Element, ...]:
    """The earlier elements that this one lies on, for as much as their widths are known."""
    return tuple(one for one in _earlier(element, elements) if one.touches(element))


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
    taken = [element for element in good if element.name not in _BACKGROUND]
    found = {element.name: Spot(element.column, element.row) for element in good}
    for element in elements:
        if element.name in found:
            continue
        nearest = min(_free(element, taken, canvas), key=lambda one: _distance(element, one), default=None)
        if nearest is None:
            found[element.name] = Spot(element.column, element.row, shown=False)
        else:
            found[element.name] = Spot(nearest.column, nearest.row)
            taken.append(nearest)
    return found


def _earlier(element: Element, elements: Iterable[Element]) -> Iterator[Element]:
    if element.name not in _BACKGROUND:
        yield from (one for one in elements if one.order < element.order and one.name not in _BACKGROUND)


def _free(element: Element, taken: list[Element], canvas: Canvas) -> Iterator[Element]:
    """Free places, the nearest among them: where it is, at an edge, or beside what is in the way."""
    last = canvas.columns - element.reach
    inside = max(0, min(element.row, canvas.rows - 1))
    # each row can be full; one more row than there are elements to fill them is enough to look at
    for row in range(max(0, inside - len(taken)), min(canvas.rows, inside + len(taken) + 1)):
        here = [one for one in taken if one.row == row]
        beside = [column for one in here for column in (one.end, one.column - element.reach)]
        for column in {max(0, min(element.column, last)), 0, last, *beside}:
            place = replace(element, column=column, row=row)
            if canvas.holds(column, row, element.reach) and not any(one.touches(place) for one in here):
                yield place


def _distance(element: Element, place: Element) -> tuple[int, int, int]:
    """How far a place is, a row counting as two columns; of two as far the upper, then the left one."""
    far = abs(place.row - element.row) * 2 + abs(place.column - element.column)
    return far, place.row, place.column
