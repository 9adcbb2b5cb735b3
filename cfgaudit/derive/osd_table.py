"""The on-screen display with its sums: where each shown element lies, and what falls off which canvas."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.canvas import CHIP, SERIAL, Canvas, canvas
from cfgaudit.derive.layout import Element, covered
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.osd import called, osd
from cfgaudit.derive.quantity import Quantity, Table
from cfgaudit.derive.tree import Tree, branches, told, whole

_SIZES = "sizes of canvases: common practice, from memory"
_WIDTHS = "the widths of elements: the dialect"
_RULES = ("osd/element-outside", "osd/elements-overlap")
_KNOWN = (
    *((f"{name.upper()} chip", grid) for name, grid in CHIP.items()),
    *(("serial", grid) for grid in SERIAL),
)


def table(model: Tree, build: Tree) -> Table:
    """The canvas, each shown element's cells, what lies on what, and what each known canvas cuts off."""
    return Table("osd", "the screen's elements, and what falls off which canvas", tuple(_rows(model, build)))


def _rows(model: Tree, build: Tree) -> Iterator[Quantity]:
    grid = _grid(model, build)
    if isinstance(grid, Missing):
        yield Quantity("", "canvas", grid, "", "", _SIZES, ("osd/element-outside",))
    else:
        cells = f"{grid.columns} × {grid.rows} = {grid.cells:,} cells"
        yield Quantity("", "canvas", str(grid), "", cells, _SIZES, ("osd/element-outside",))
    shown = tuple(shown_elements(model))
    for element in shown:
        yield _element(element, shown)
    measured = [element for element in shown if element.width is not None]
    for name, known in _KNOWN if measured else ():
        off = [one.name for one in measured if not known.holds(one.column, one.row, one.reach)]
        said = ", ".join(called(one) for one in off) or "everything fits"
        yield Quantity(f"{name} {known}", "falls off", len(off), "", said, _SIZES, _RULES)


def shown_elements(model: Tree) -> Iterator[Element]:
    """The elements that the dump shows, with a place, in reading order."""
    found = []
    for name, element in branches(model, "osd", "elements"):
        column, row = whole(element, "column"), whole(element, "row")
        if told(element, "shown") is True and column is not None and row is not None:
            found.append(Element(name, column, row, whole(element, "width")))
    yield from sorted(found, key=lambda one: one.order)


def _grid(model: Tree, build: Tree) -> Canvas | Missing:
    grid = osd(model, build)["canvas"]
    if isinstance(grid, dict):
        return canvas(str(grid["size"]))
    return grid if isinstance(grid, Missing) else Missing(("model.osd.drive",))


def _element(element: Element, shown: tuple[Element, ...]) -> Quantity:
    name = called(element.name)
    if element.width is None:
        gap = Missing((f"model.osd.elements.{element.name}.width",))
        return Quantity(name, "cells", gap, "", "", _WIDTHS, _RULES)
    over = ", ".join(called(one.name) for one in covered(element, shown))
    last = element.end - 1
    lies = f"; lies on {over}" if over else ""
    return Quantity(
        name,
        "cells",
        f"row {element.row}, columns {element.column} to {last}",
        "",
        f"{element.column} + {element.width} − 1 = {last}{lies}",
        _WIDTHS,
        _RULES,
    )
