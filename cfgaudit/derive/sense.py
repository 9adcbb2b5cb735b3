"""Figures about sensors: section ``sense`` of what rules see as ``derived``.

::

    gnss                whether the build sheet has a position receiver
    sensor.NAME         barometer and magnetometer:
      declared          whether one is on board
      set               whether the dump has it on
    gyro_hz             the rates that the board's gyro gives, in Hz
    gyro_to_set         the one of them that is nearest to the one set
"""

from __future__ import annotations

from cfgaudit.derive.inputs import number
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, entries, told, word
from cfgaudit.model.value import Json

_SWITCHED = ("barometer", "magnetometer")


def sense(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    rates = told(build, "board", "sensors", "gyro_hz")
    listed: list[Figure] = (
        [one for one in rates if isinstance(one, int | float)] if isinstance(rates, list) else []
    )
    return {
        "gnss": sensor("gnss", model, build),
        "sensor": {name: _switched(name, model, build) for name in _SWITCHED},
        "gyro_to_set": _nearest(model, rates),
        "gyro_hz": listed or Missing(("build.board.sensors.gyro_hz",)),
    }


def _nearest(model: Tree, rates: Json) -> Figure:
    listed = [one for one in rates if isinstance(one, int | float)] if isinstance(rates, list) else []
    as_set = number(model, "model", "loop", "gyro_hz")
    if isinstance(as_set, Missing):
        return as_set
    if not listed:
        return Missing(("build.board.sensors.gyro_hz",))
    return min(listed, key=lambda one: abs(one - as_set))


def _switched(name: str, model: Tree, build: Tree) -> Figure:
    on = told(model, "sensors", name)
    return {
        "declared": sensor(name, model, build),
        "set": on if isinstance(on, bool) else Missing((f"model.sensors.{name}",)),
    }


def sensor(name: str, model: Tree, build: Tree) -> bool | Missing:
    """Whether a sensor is on board: as a device, or on the board itself."""
    if name == "current":
        source = word(model, "battery", "current_from")
        return source != "none" if source else Missing(("model.battery.current_from",))
    if "devices" not in build:
        return Missing(("build.devices",))
    kinds = {word(device, "kind") for _, device in entries(build, "devices")}
    if name == "esc":
        return "esc telemetry" in kinds or told(build, "esc", "bidirectional") is True
    if name in kinds:
        return True
    if name not in _SWITCHED:
        return False
    on_board = told(build, "board", "sensors", name)
    return on_board if isinstance(on_board, bool) else Missing((f"build.board.sensors.{name}",))
