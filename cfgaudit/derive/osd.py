"""Figures about the on-screen display: section ``osd`` of what rules see as ``derived``.

::

    drive               what draws it, as the model has it; "" if the dump does not say
    drawn               it is not known to be off
    set_for             the same in words
    wanted              the drives that suit the video devices, the likelier first
    wanted_by           names of those devices
    wanted_index        the place of the first of them in the sheet's list, from 0
    wanted_words        what those devices need, in words
    canvas              the grid that elements must fit: of a declared digital unit the one that it draws
                        (the one set, if it draws that), else the one in force: columns, rows, size
                        ("53x20"), last_column, last_row, named; unit_index, the unit's place in the sheet's
                        list, from 0, is there only where the grid is a unit's
    sized               the dump sets a grid of its own, whether the drive in force uses it or not
    sent                the grid that a unit on a serial line is sent, or would be if it were driven: size
    carriers            ids of the ports that carry the displayport job
    unit.NAME           every device of the build sheet:
      sizes             the grids it draws
      columns, rows     the first of them
      standards         the camera standards it has, in small letters
    element.NAME        every element the dump speaks of:
      spoken            its name in words
      cells             the columns that it takes, in words
      outside           it lies outside the canvas, wholly or partly
      over              earlier elements that it lies on, in words
      below             the same, by the names that the model has
      column, row, shown  where it should be: as it is, or the nearest free place on the canvas
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.derive.canvas import CHIP, Canvas, canvas
from cfgaudit.derive.layout import Element, covered, spots, unmeasured
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branches, entries, told, whole, word, words

_SET_FOR = {
    "chip": "for the analogue chip",
    "displayport": "for DisplayPort over a serial line",
    "off": "to stay off",
}
_ANALOGUE = frozenset({"analogue camera", "analogue video"})


def osd(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    drive = word(model, "osd", "drive")
    in_force = _canvas(model)
    unit = _unit(model, build)
    grid = unit.canvas if unit else in_force
    return {
        "drive": drive,
        "drawn": drive != "off",
        "set_for": _SET_FOR.get(drive, f"for {drive or 'nothing the dump tells'}"),
        **_wanted(build),
        "canvas": grid if isinstance(grid, Missing) else _grid(grid, model, unit),
        "sized": bool(whole(model, "osd", "columns") and whole(model, "osd", "rows")),
        "sent": _sent(model, in_force),
        "carriers": _carriers(model, build),
        "unit": dict(_units(build)),
        "element": dict(_elements(model, grid)),
    }


def _wanted(build: Tree) -> Section:
    devices = [*entries(build, "devices")]
    digital = [one for one in devices if word(one[1], "job") == "displayport"]
    analogue = [one for one in devices if word(one[1], "kind") in _ANALOGUE]
    needs = []
    if digital:
        needs.append("DisplayPort over a serial line")
    if analogue:
        needs.append("the analogue chip")
    both = [*digital, *analogue]
    return {
        "wanted": [*(["displayport"] if digital else []), *(["chip"] if analogue else [])],
        "wanted_by": [word(device, "name") or word(device, "kind") for _, device in both],
        "wanted_index": both[0][0] if both else 0,
        "wanted_words": " or ".join(needs),
    }


def _canvas(model: Tree) -> Canvas | Missing:
    drive, standard = word(model, "osd", "drive"), word(model, "osd", "standard")
    columns, rows = whole(model, "osd", "columns"), whole(model, "osd", "rows")
    match drive:
        case "":
            return Missing(("model.osd.drive",))
        case "off":
            return Missing(("model.osd.drive",), "an OSD that is off has no canvas")
        case "chip" if standard and standard not in CHIP:
            return Missing(("model.osd.standard",), f"the analogue chip has no canvas for {standard}")
        case "displayport" if columns and rows:
            return Canvas(columns, rows)
        case "displayport" if standard not in CHIP:
            sides = (("model.osd.columns", columns), ("model.osd.rows", rows))
            return Missing(tuple(path for path, side in sides if not side))
    if standard and standard not in CHIP:
        return Missing(("model.osd.standard",), f"no canvas is known for {standard} drawn by {drive}")
    return CHIP[standard] if standard else Missing(("model.osd.standard",))


class _Unit(Struct, frozen=True):
    """A digital unit of the sheet: its place in the list, its name, and the grid it draws."""

    index: int
    name: str
    canvas: Canvas


def _unit(model: Tree, build: Tree) -> _Unit | None:
    """The one digital unit of the sheet with the grid it draws, if that decides the canvas."""
    units = [one for one in entries(build, "devices") if word(one[1], "job") == "displayport"]
    grid = drawn(model, words(units[0][1], "canvas")) if len(units) == 1 else None
    if grid is None or word(model, "osd", "drive") in ("", "off"):
        return None
    ((index, device),) = units
    return _Unit(index, word(device, "name") or word(device, "kind"), grid)


def drawn(model: Tree, sizes: Iterable[str]) -> Canvas | None:
    """Of the grids that a unit draws the one that is set, else the first; None if none is told."""
    grids = [*_grids(sizes)]
    asked = (whole(model, "osd", "columns"), whole(model, "osd", "rows"))
    return next((grid for grid in grids if (grid.columns, grid.rows) == asked), grids[0] if grids else None)


def _named(model: Tree) -> str:
    own = word(model, "osd", "drive") == "displayport" and told(model, "osd", "columns")
    return "canvas" if own else f"{word(model, 'osd', 'standard').upper()} canvas"


def _grid(grid: Canvas, model: Tree, unit: _Unit | None) -> Figure:
    return {
        "columns": grid.columns,
        "rows": grid.rows,
        "size": str(grid),
        "last_column": grid.columns - 1,
        "last_row": grid.rows - 1,
        "named": f"canvas that {unit.name} draws" if unit else _named(model),
        **({"unit_index": unit.index} if unit else {}),
    }


def _sent(model: Tree, grid: Canvas | Missing) -> Figure:
    columns, rows = whole(model, "osd", "columns"), whole(model, "osd", "rows")
    if columns and rows:
        return {"size": str(Canvas(columns, rows))}
    return grid if isinstance(grid, Missing) else {"size": str(grid)}


def _carriers(model: Tree, build: Tree) -> Figure:
    ports = dict(branches(model, "ports"))
    carriers = [id for id, port in ports.items() if "displayport" in words(port, "functions")]
    homes = [word(one, "port") for _, one in entries(build, "devices") if word(one, "job") == "displayport"]
    asked = [*ports, *(home for home in homes if home and home != "none")]
    silent = [id for id in dict.fromkeys(asked) if not isinstance(told(ports.get(id), "functions"), list)]
    if not carriers and (silent or not ports):
        return Missing(tuple(f"model.ports.{id}.functions" for id in silent) or ("model.ports",))
    return [*carriers]


def _units(build: Tree) -> Iterator[tuple[str, Figure]]:
    for _, device in entries(build, "devices"):
        grids = [*_grids(words(device, "canvas"))]
        yield (
            word(device, "name") or word(device, "kind"),
            {
                "sizes": [str(grid) for grid in grids],
                "columns": grids[0].columns if grids else 0,
                "rows": grids[0].rows if grids else 0,
                "standards": [standard.lower() for standard in words(device, "standard")],
            },
        )


def _grids(sizes: Iterable[str]) -> Iterator[Canvas]:
    for size in sizes:
        try:
            yield canvas(size)
        except ValueError:  # the sheet's schema says so where it was written
            continue


def _elements(model: Tree, grid: Canvas | Missing) -> Iterator[tuple[str, Figure]]:
    all_told = dict(branches(model, "osd", "elements"))
    shown = {name: found for name, one in all_told.items() if (found := _shown(name, one))}
    places = {} if isinstance(grid, Missing) else spots(shown.values(), grid)
    for name, one in all_told.items():
        element, spot = shown.get(name), places.get(name)
        place = element or Element(name, whole(one, "column") or 0, whole(one, "row") or 0, None)
        yield (
            name,
            {
                "spoken": called(name),
                "cells": _cells(place),
                "outside": _outside(element, grid),
                "over": _over(element, [*shown.values()]),
                "below": _below(element, [*shown.values()]),
                "column": spot.column if spot else place.column,
                "row": spot.row if spot else place.row,
                "shown": spot.shown if spot else element is not None,
            },
        )


def _shown(name: str, element: Tree) -> Element | None:
    column, row = whole(element, "column"), whole(element, "row")
    if element.get("shown") is not True or column is None or row is None:
        return None
    return Element(name, column, row, whole(element, "width"))


def _outside(element: Element | None, grid: Canvas | Missing) -> Figure:
    if element is None:
        return False
    if isinstance(grid, Missing):
        return grid
    if not grid.holds(element.column, element.row, element.reach):
        return True
    return Missing((_width(element),)) if element.width is None else False


def _over(element: Element | None, shown: list[Element]) -> Figure:
    if element is None:
        return []
    below = covered(element, shown)
    unknown = () if below else unmeasured(element, shown)
    if unknown:
        return Missing(tuple(_width(one) for one in unknown))
    return [called(one.name) for one in below]


def _below(element: Element | None, shown: list[Element]) -> Figure:
    return [one.name for one in covered(element, shown)] if element else []


def _width(element: Element) -> str:
    return f"model.osd.elements.{element.name}.width"


def called(name: str) -> str:
    """An element's name in words: ``used_mah`` → ``used mAh``."""
    return name.replace("_", " ").replace("-", " ").replace(" mah", " mAh")


def _cells(element: Element) -> str:
    first, last = element.column, element.column + element.reach - 1
    return f"column {first}" if first == last else f"columns {first} to {last}"
