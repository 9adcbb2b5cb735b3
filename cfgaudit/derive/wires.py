"""Figures about solder joints: section ``wires`` of what rules see as ``derived``.

::

    joint.N             every wire of every device, numbered from 1:
      device, index     the device's name, and its place in the sheet's list
      pad, role         the board's pad, and what the device has at the other end
      crossed           it does not join a sender to a sender, or a listener to a listener
      others            other devices' names with a signal on the same pad
      stands            of a supply: the rail is within what the device stands
      volts, least_volts   the rail's voltage, and its least: they differ for the battery's own
      low_v, high_v     what the device stands
      unkeyed           of a supply straight from the battery: its plug fits both ways round
    device.NAME         every device with wires:
      index             its place in the sheet's list, from 0
      grounded, supplied   it has such a wire, or is fed and grounded through what it sits in
    pin.PIN             every pin of the chip with a use in the dump:
      uses              what uses it, in words
      places            where the dump says so, as paths
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.derive.battery import CHEMISTRIES
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.motors import pin as pin_name
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, whole, word, words

# Pads of serial ports, by how boards print them: T1, TX1, R1, RX1 (common practice)
_SENDER = re.compile(r"TX?[0-9]*", re.IGNORECASE)
_LISTENER = re.compile(r"RX?[0-9]*", re.IGNORECASE)
_SHARED_ROLES = frozenset({"supply", "ground", "SDA", "SCL", "shield"})
_FED_BY_OTHERS = frozenset({"esc telemetry"})  # the ESC's own harness feeds and grounds it


class Joint(Struct, frozen=True):
    """One wire: the board's pad, and what the device has at its other end."""

    index: int
    device: Tree
    pad: str
    role: str

    @property
    def name(self) -> str:
        """How people call the device."""
        return word(self.device, "name") or word(self.device, "kind")

    @property
    def crossed(self) -> bool:
        """A sender's pad goes to a listener, and a listener's to a sender."""
        sender, listener = _SENDER.fullmatch(self.pad), _LISTENER.fullmatch(self.pad)
        return not (sender and self.role == "TX") and not (listener and self.role == "RX")


def wires(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    if "devices" not in build:
        missing = Missing(("build.devices",))
        return {"joint": missing, "device": missing, "pin": _pins(model)}
    joints = tuple(_joints(build))
    return {
        "joint": {str(n): _joint(one, joints, build) for n, one in enumerate(joints, 1)},
        "device": {
            word(device, "name") or word(device, "kind"): _device(index, device)
            for index, device in entries(build, "devices")
            if "wires" in device
        },
        "pin": _pins(model),
    }


def _joints(build: Tree) -> Iterator[Joint]:
    for index, device in entries(build, "devices"):
        for pad, role in branch(device, "wires").items():
            if isinstance(role, str):
                yield Joint(index, device, pad, role)


def _joint(one: Joint, joints: tuple[Joint, ...], build: Tree) -> Figure:
    others = [
        other.name
        for other in joints
        if other.pad == one.pad and other.index != one.index and other.role not in _SHARED_ROLES
    ]
    return {
        "device": one.name,
        "index": one.index,
        "pad": one.pad,
        "role": one.role,
        "crossed": one.crossed,
        "others": [*dict.fromkeys(others)] if one.role not in _SHARED_ROLES else [],
        **(_supply(one, build) if one.role == "supply" else {}),
    }


def _supply(one: Joint, build: Tree) -> Section:
    """What a supply wire brings, and what the device stands."""
    volts, least = _volts(one.pad, build)
    span = told(one.device, "supply_v")
    bounds = [float(v) for v in span if isinstance(v, int | float)] if isinstance(span, list) else []
    low, high = (bounds[0], bounds[-1]) if bounds else (None, None)
    unknown = Missing((f"build.devices.{one.index}.supply_v",))
    stands: Figure = unknown
    if isinstance(volts, Missing) or isinstance(least, Missing):
        stands = volts if isinstance(volts, Missing) else least
    elif low is not None and high is not None:
        stands = low <= least and volts <= high
    return {
        "volts": volts,
        "least_volts": least,
        "low_v": unknown if low is None else low,
        "high_v": unknown if high is None else high,
        "stands": stands,
        "unkeyed": _unkeyed(one, build),
    }


def _volts(pad: str, build: Tree) -> tuple[float | Missing, float | Missing]:
    """A rail's highest and lowest voltage; the battery's own from charged to empty."""
    volts = told(build, "board", "rails", pad, "volts")
    if isinstance(volts, int | float) and not isinstance(volts, bool):
        return float(volts), float(volts)
    if volts != "battery":
        unknown = Missing((f"build.board.rails.{pad}.volts",))
        return unknown, unknown
    chemistry, cells = CHEMISTRIES.get(word(build, "battery", "chemistry").lower()), _cells(build)
    if chemistry is None or cells is None:
        paths = ("build.battery.chemistry",) * (chemistry is None) + ("build.battery.cells",) * (
            cells is None
        )
        return Missing(paths), Missing(paths)
    return round(chemistry.full_v * cells, 2), round(chemistry.least_load_v * cells, 2)


def _cells(build: Tree) -> int | None:
    return whole(build, "battery", "cells")


def _unkeyed(one: Joint, build: Tree) -> Figure:
    if told(build, "board", "rails", one.pad, "volts") != "battery":
        return False
    plug = word(one.device, "plug")
    return plug == "unkeyed" if plug else Missing((f"build.devices.{one.index}.plug",))


def _device(index: int, device: Tree) -> Figure:
    roles = set(branch(device, "wires").values())
    carried = word(device, "within") != "" or word(device, "kind") in _FED_BY_OTHERS
    return {
        "index": index,
        "grounded": carried or "ground" in roles,
        "supplied": carried or "supply" in roles,
    }


# Pins


def _pins(model: Tree) -> Figure:
    """The uses of each pin. A port's pins are used while the port carries a job."""
    uses: dict[str, list[tuple[str, list[Figure]]]] = {}
    for id, output in branches(model, "outputs"):
        motor, use = whole(output, "motor"), word(output, "use")
        if (pin := pin_name(word(output, "pin"))) and pin != "none" and use != "none":
            called = f"motor {motor}" if motor else use.replace("-", " ") or f"output {id}"
            uses.setdefault(pin, []).append((called, ["outputs", id, "pin"]))
    for use, written in branch(model, "pins").items():
        pin = pin_name(written) if isinstance(written, str) else ""
        if pin and pin != "none" and _in_use(use, model):
            uses.setdefault(pin, []).append((use.replace("_", " "), ["pins", use]))
    if not uses:
        return Missing(("model.pins",))
    return {
        pin: {"uses": [one for one, _ in some], "places": [place for _, place in some]}
        for pin, some in uses.items()
    }


def _in_use(use: str, model: Tree) -> bool:
    """Whether a pin is one of a serial port without a job: such a port leaves it alone."""
    found = re.fullmatch(r"((?:lp)?uart[0-9]{1,2})_(?:tx|rx)", use)
    return not found or bool(words(model, "ports", found[1].upper(), "functions"))
