"""Figures about the signal on serial lines: section ``signal`` of what rules see as ``derived``.

::

    device.NAME         every device on a serial port:
      index             its place in the sheet's list, from 0
      port
      inverted          whether its signal is inverted (idle low)
      by                what says so, in words
      set_inverted      whether the dump has the port invert
      can_invert        whether the port can, by the board or by the chip's line; true if it need not
      half              whether it has one wire for both directions
      set_duplex, duplex   as the dump has it, and as it should be: "half" or "full"
      pads              the pads of its one wire that are a listener's
    soft.PORT           every port that is made in software:
      busy              whether it carries a job
      rate_baud         the highest rate that it is set to
      fastest_baud      the highest that its firmware can make, as the dialect declares
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from cfgaudit.derive.chips import line_of
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, whole, word, words
from cfgaudit.derive.wiring import rate_of, unnumbered
from cfgaudit.dialect.codec.port import is_unmapped

# Whether a link's signal is inverted, by what a device speaks. Sources: Zephyr's binding of SBUS
# (inverted); the CRSF specification, its wire of two; IBusBM and SUMD libraries (plain); UBX, NMEA, MSP
# and MAVLink are a UART's own signal. FPort, GHST and DSM: common practice, from memory.
INVERTED: Mapping[str, bool] = MappingProxyType(
    {
        "sbus": True, "fport": True,
        "crsf": False, "ghst": False, "ibus": False, "sumd": False, "dsm": False,
        "ubx": False, "nmea": False, "msp": False, "displayport": False, "mavlink": False,
    }
)  # fmt: skip
# The same by a device's job. Source: the manual of an ESC's maker (docs.hargravetechnologies.com, serial
# telemetry); MSP and MAVLink are a UART's own signal; telemetry radios from memory.
_PLAIN_JOBS = frozenset({"esc-telemetry", "displayport", "msp", "mavlink", "telemetry"})
# Lines of chips whose ports cannot invert: ST RM0008, RM0033 and RM0090 have no such bits in USART_CR2;
# RM0316 (F3), RM0385 (F7), RM0433 (H7) and RM0440 (G4) have TXINV and RXINV.
_CANNOT_INVERT = ("F1", "F2", "F4")
_ONE_WIRE: Mapping[str, bool] = MappingProxyType({"fport": True, "ghst": True})  # from memory
_LISTENER = re.compile(r"RX?[0-9]*", re.IGNORECASE)


def signal(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    soft = {id: _soft(port, model) for id, port in branches(model, "ports") if id.startswith("SOFT")}
    ports = soft if branch(model, "ports") else Missing(("model.ports",))
    if "devices" not in build:
        return {"device": Missing(("build.devices",)), "soft": ports}
    return {"device": dict(_devices(model, build)), "soft": ports}


def _devices(model: Tree, build: Tree) -> Iterator[tuple[str, Figure]]:
    for index, device in entries(build, "devices"):
        port = word(device, "port")
        if port and port not in ("none", "USB"):
            yield word(device, "name") or word(device, "kind"), _device(index, device, port, model, build)


def _device(index: int, device: Tree, port: str, model: Tree, build: Tree) -> Figure:
    inverted, by = _inverted(index, device)
    half = told(device, "duplex") == "half" or any(
        _ONE_WIRE.get(one, False) for one in words(device, "speaks")
    )
    pads = branch(device, "wires")
    return {
        "index": index,
        "port": port,
        "inverted": inverted,
        "by": by,
        "set_inverted": _set_inverted(device, port, model, build),
        "can_invert": inverted is False or _can_invert(port, build),
        "half": half,
        "duplex": "half" if half else "full",
        "set_duplex": word(model, "ports", port, "duplex") or _untold(port, "duplex", model, build),
        "pads": [pad for pad, role in pads.items() if half and role == "signal" and _LISTENER.fullmatch(pad)],
    }


def _inverted(index: int, device: Tree) -> tuple[Figure, str]:
    declared = told(device, "inverted")
    if isinstance(declared, bool):
        return declared, "the build sheet"
    spoken = [one.lower() for one in words(device, "speaks")]
    known = {INVERTED[one] for one in spoken if one in INVERTED}
    if len(known) == 1:
        return known.pop(), next(one for one in spoken if one in INVERTED)
    if not spoken and (job := word(device, "job")) in _PLAIN_JOBS:
        return False, job
    return Missing((f"build.devices.{index}.inverted",)), ""


def _untold(port: str, key: str, model: Tree, build: Tree) -> Missing:
    """What is missing of a port's setting: the setting, or the number by which the firmware has the port."""
    missing = unnumbered(build) if any(map(is_unmapped, branch(model, "ports"))) else ""
    if missing and port not in branch(model, "ports"):
        return Missing((f"build.board.ports.{missing}.number",))
    return Missing((f"model.ports.{port}.{key}",))


def _set_inverted(device: Tree, port: str, model: Tree, build: Tree) -> Figure:
    """The port's own setting; a receiver's where there is none of the port."""
    own = told(model, "ports", port, "inverted")
    if not isinstance(own, bool) and word(device, "job") == "receiver":
        own = told(model, "receiver", "inverted")
    return own if isinstance(own, bool) else _untold(port, "inverted", model, build)


def _can_invert(port: str, build: Tree) -> Figure:
    declared = told(build, "board", "ports", port, "inverts")
    if isinstance(declared, bool):
        return declared
    maker, line = line_of(word(build, "board", "chip"))
    if maker != "STM32" or not line:
        return Missing((f"build.board.ports.{port}.inverts",))
    return not line.startswith(_CANNOT_INVERT)


def _soft(port: Tree, model: Tree) -> Figure:
    jobs = words(port, "functions")
    rates = [rate for job in jobs if (rate := rate_of(port, job)[1]) is not None]
    return {
        "busy": bool(jobs),
        "rate_baud": max(rates, default=0),
        "fastest_baud": whole(model, "limits", "soft_rate_max_baud")
        or Missing(("model.limits.soft_rate_max_baud",)),
    }
