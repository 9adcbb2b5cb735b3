"""Figures about power: section ``power`` of what rules see as ``derived``.

::

    peak_a              all motors at their peak
    motor_peak_a        one motor at its peak
    pack_a              what the pack can give: capacity × C rating
    plug, plug_a        the pack's plug, and what it stands at its peak
    wire_awg, wire_a    the pack's wire, and what it stands by the rule of thumb
    esc_cells           the cells that the ESC is made for, in words: "3 to 6"
    rail.NAME           every rail of the board that something is fed from:
      amps              what it is rated for
      draws_a           the sum of what hangs on it
      items             the sum, item by item
"""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.inputs import number
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.power.plugs import PLUGS, wire_a
from cfgaudit.derive.quantity import figure
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, whole, wholes, word

Draw = tuple[str, float | Missing]  # a device's name and what it draws in ampere


def power(build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    return {
        "peak_a": peak_a(build),
        "motor_peak_a": number(build, "build", "motors", "peak_a"),
        "pack_a": pack_a(build),
        "plug": word(build, "battery", "connector") or Missing(("build.battery.connector",)),
        "plug_a": plug_a(build),
        "wire_awg": number(build, "build", "battery", "wire_awg"),
        "wire_a": wire_stands_a(build),
        "esc_cells": _esc_cells(build),
        "rail": _rails(build),
    }


def peak_a(build: Tree) -> float | Missing:
    """All motors of the build sheet at their peak."""
    one, motors = number(build, "build", "motors", "peak_a"), len(dict(branches(build, "motors", "places")))
    if isinstance(one, Missing):
        return one
    return one * motors if motors else Missing(("build.motors.places",))


def pack_a(build: Tree) -> float | Missing:
    """What the pack can give continuously: its capacity in Ah × its C rating."""
    capacity, rating = (
        number(build, "build", "battery", "capacity_mah"),
        number(build, "build", "battery", "c_rating"),
    )
    if isinstance(capacity, Missing):
        return capacity
    return rating if isinstance(rating, Missing) else round(capacity / 1000 * rating, 2)


def plug_a(build: Tree) -> float | Missing:
    """What the pack's plug stands at its peak."""
    name = word(build, "battery", "connector")
    if not name:
        return Missing(("build.battery.connector",))
    if name not in PLUGS:
        known = ", ".join(PLUGS)
        return Missing(("build.battery.connector",), f"what a {name} stands is not known here, only {known}")
    return PLUGS[name].peak_a


def wire_stands_a(build: Tree) -> float | Missing:
    """What the pack's wire stands."""
    gauge = whole(build, "battery", "wire_awg")
    return Missing(("build.battery.wire_awg",)) if gauge is None else round(wire_a(gauge), 1)


def _esc_cells(build: Tree) -> str | Missing:
    cells = wholes(build, "esc", "cells")
    return " to ".join(str(one) for one in dict.fromkeys(cells)) if cells else Missing(("build.esc.cells",))


def _rails(build: Tree) -> Figure:
    if not branch(build, "board", "rails"):
        return Missing(("build.board.rails",))
    return {name: _rail(name, draws, build) for name, draws in rails(build)}


def rails(build: Tree) -> Iterator[tuple[str, tuple[Draw, ...]]]:
    """The board's rails with a rating that something is fed from, with what hangs on each."""
    for name, rail in branches(build, "board", "rails"):
        draws = tuple(_draws(name, build))
        if draws and "amps" in rail:
            yield name, draws


def _draws(rail: str, build: Tree) -> Iterator[Draw]:
    for index, device in entries(build, "devices"):
        if told(device, "wires", rail) == "supply":
            yield word(device, "name"), number(device, f"build.devices.{index}", "draws_a")


def _rail(name: str, draws: tuple[Draw, ...], build: Tree) -> Figure:
    amps = number(build, "build", "board", "rails", name, "amps")
    missing = next((draw for _, draw in draws if isinstance(draw, Missing)), None)
    known = [(device, draw) for device, draw in draws if not isinstance(draw, Missing)]
    return {
        "amps": amps,
        "draws_a": missing or round(sum(draw for _, draw in known), 3),
        "items": [f"{device} {figure(draw)} A" for device, draw in known],
        "devices": [str(index) for index in _fed_by(name, build)],
    }


def _fed_by(rail: str, build: Tree) -> list[int]:
    """The devices that hang on a rail, by their places in the list, the hungriest first."""
    found = [
        (index, draw)
        for index, device in entries(build, "devices")
        if told(device, "wires", rail) == "supply"
        and isinstance(draw := number(device, f"build.devices.{index}", "draws_a"), int | float)
    ]
    return [index for index, _ in sorted(found, key=lambda one: -one[1])]
