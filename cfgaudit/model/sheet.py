"""The build sheet: what was really soldered and bolted, read and brought into one spelling.

``build.schema.json`` beside this file says what a builder may write; what rules see is the tree
that ``normalise`` makes of it, in which each thing has one shape and one spelling only.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import count
from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct

from cfgaudit.model import spelling
from cfgaudit.model.devices import KINDS, kind_of
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, Trail, load, shown
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.schema import check, faults
from cfgaudit.model.spelling import Spelling
from cfgaudit.model.terms import Terms, terms_of
from cfgaudit.model.value import Json

# Other spellings → the one that rules see.
ROLES = {
    "rx": "RX",
    "tx": "TX",
    "sda": "SDA",
    "scl": "SCL",
    **dict.fromkeys(("s", "sig"), "signal"),
    **dict.fromkeys(("+", "vcc", "vin", "vbat", "power"), "supply"),
    **dict.fromkeys(("-", "g", "gnd"), "ground"),
    "vid": "video",
    "cur": "current",
    "vol": "voltage",
    "clk": "clock",
}
SPINS = {
    "cw": "clockwise",
    **dict.fromkeys(
        ("ccw", "counterclockwise", "counter clockwise", "anticlockwise", "anti-clockwise"),
        "counter-clockwise",
    ),
}
CHEMISTRIES = dict.fromkeys(("liion", "li ion"), "li-ion")


class Build(Struct, frozen=True):
    """A build sheet: its normalised tree, and the sheet as it was written."""

    tree: dict[str, Json]
    placed: Placed
    file: str
    terms: Terms = Terms()  # what it says about the rules

    @property
    def port_numbers(self) -> dict[int, str]:
        """The firmware's own numbers of the board's ports: ``{3: "UART4"}``; those that are declared."""
        board = self.tree.get("board")
        ports = board.get("ports") if isinstance(board, dict) else None
        numbers = {}
        for id, port in ports.items() if isinstance(ports, dict) else ():
            number = port.get("number") if isinstance(port, dict) else None
            if isinstance(number, int):
                numbers[number] = id
        return numbers

    def place(self, path: Path) -> Place:
        """Where the sheet says what the tree has at a path; the nearest written ancestor if nowhere.

        A block is where its name stands: ``("devices", "1")`` is at the word ``digital video``.
        """
        return self.placed.named(self.trail(path)[0])

    def trail(self, path: Path) -> tuple[Trail, Path]:
        """How far the sheet writes a path of the tree, and the keys of it that it does not write."""
        trail: Trail = ()
        node: Json = self.placed.data
        for n, key in enumerate(path):
            below = _step(trail, node, key)
            if below is None:
                return trail, path[n:]
            trail, node = below
        return trail, ()

    def line(self, place: Place) -> str:
        """The sheet's line at a place, without indentation."""
        return self.placed.line(place)


def read_build(path: str | os.PathLike[str]) -> Build:
    """The build sheet in a file; raises Refusal if it is none."""
    return build_from(load(path))


def sheet_faults(placed: Placed) -> tuple[Refusal, ...]:
    """Everything that the schema finds wrong with a sheet, in the order of the file."""
    return faults(placed, build_schema(), "build sheet")


def build_from(placed: Placed, *, remembered: bool = True) -> Build:
    """The build sheet in YAML that has been read already; raises Refusal if it is none.

    ``remembered``: a sheet that was found sound in an earlier run is not looked at again.
    """
    check(placed, build_schema(), "build sheet", remembered=remembered)
    assert isinstance(placed.data, dict)
    _refuse_two_of_one_port(placed)
    _refuse_two_of_one_number(placed)
    build = Build(normalise(placed.data), placed, placed.file, terms_of(placed))
    for path, what in _upside_down(build.tree):
        raise Refusal(f"{dotted(path)}: {what}", "write the lower value first", build.place(path))
    return build


@cache
def build_schema() -> Mapping[str, Any]:
    """The JSON Schema of the build sheet as a builder writes it."""
    schema: Mapping[str, Any] = json.loads(FilePath(__file__).with_name("build.schema.json").read_bytes())
    return schema


def normalise(data: Mapping[str, Json]) -> dict[str, Json]:
    """A sheet, or any part of one, in the one shape and spelling that rules see.

    Devices become a flat list with kind, name and job; single values become lists where several
    are possible; words, pins, ports, switches and ranges get one spelling; what is written as
    nothing is left out. What is not recognised stays as it is. A normalised sheet stays the same.
    """
    shaped = _SHEET(dict(data))
    assert isinstance(shaped, dict)
    return shaped


# ------------------------------------------------------------------------- from the tree to the file


def _step(trail: Trail, node: Json, key: str) -> tuple[Trail, Json] | None:
    """One key down the normalised tree, taken in the sheet as written; None where that ends."""
    if isinstance(node, list):
        index = int(key) - (trail == ("motors", "places")) if key.isdecimal() else -1
        if not 0 <= index < len(node):
            return None
        below, inner = (*trail, index), node[index]
        if trail == ("devices",) and isinstance(inner, dict) and len(inner) == 1 and "kind" not in inner:
            ((kind, body),) = inner.items()
            return (*below, kind), body
        if trail == ("devices",) and isinstance(inner, str):  # a kind of device alone, without a colon
            return (*below, inner), None
        return below, inner
    if not isinstance(node, dict):
        return None
    written = key
    if trail == ("board", "ports"):
        written = next((name for name in node if spelling.port(name) == key), key)
    return ((*trail, written), node[written]) if written in node else None


def _refuse_two_of_one_port(placed: Placed) -> None:
    first: dict[Json, str | int] = {}
    for trail in placed.keys:
        if trail[:2] == ("board", "ports") and len(trail) == 3:
            other = first.setdefault(spelling.port(str(trail[2])), trail[2])
            if other != trail[2]:
                what = f"board.ports: {trail[2]} is the same port as {other}"
                raise Refusal(what, "keep one of them", placed.keys[trail])


def _refuse_two_of_one_number(placed: Placed) -> None:
    board = placed.data.get("board") if isinstance(placed.data, dict) else None
    ports = board.get("ports") if isinstance(board, dict) else None
    first: dict[Json, str] = {}
    for name, port in ports.items() if isinstance(ports, dict) else ():
        number = port.get("number") if isinstance(port, dict) else None
        if number is None:
            continue
        other = first.setdefault(number, name)
        if other != name:
            what = f"board.ports: {name} has the number {number}, as {other} has"
            raise Refusal(what, "correct one of them", placed.place(("board", "ports", name, "number")))


def _upside_down(tree: Mapping[str, Json]) -> Iterator[tuple[Path, str]]:
    """The ranges whose lower end is above their upper end."""
    devices = tree.get("devices")
    for index, device in enumerate(devices if isinstance(devices, list) else ()):
        if isinstance(device, dict):
            yield from _ends(("devices", str(index), "supply_v"), device.get("supply_v"))
    esc, radio = tree.get("esc"), tree.get("radio")
    if isinstance(esc, dict):
        yield from _ends(("esc", "cells"), esc.get("cells"))
    arm = radio.get("arm") if isinstance(radio, dict) else None
    if isinstance(arm, dict) and "from_us" in arm and "to_us" in arm:
        yield from _ends(("radio", "arm", "from_us"), [arm["from_us"], arm["to_us"]])


def _ends(path: Path, span: Json) -> Iterator[tuple[Path, str]]:
    match span:
        case [int() | float() as low, int() | float() as high] if low > high:
            yield path, f"the range from {shown(low)} to {shown(high)} is upside down"


# ------------------------------------------------------------------------------ the shape of the tree

Shape = Mapping[str, Spelling]  # key → what brings its value into shape; "*": every other key


def _keys(shape: Shape) -> Spelling:
    """A mapping with each value in its shape, without the values that are nothing."""

    def shaped(value: Json) -> Json:
        if not isinstance(value, dict):
            return value
        common = shape.get("*", _as_is)
        return _present({key: shape.get(key, common)(inner) for key, inner in _present(value).items()})

    return shaped


def _named(shape: Spelling) -> Spelling:
    """A mapping of things by their names; that one is there says something even if nothing more is said."""

    def shaped(value: Json) -> Json:
        if not isinstance(value, dict):
            return value
        return {name: {} if inner is None else shape(inner) for name, inner in value.items()}

    return shaped


def _present(value: Mapping[str, Json]) -> dict[str, Json]:
    return {key: inner for key, inner in value.items() if inner is not None}


def _as_is(value: Json) -> Json:
    return value


def _ports(value: Json) -> Json:
    if not isinstance(value, dict):
        return value
    return _PORTS({str(spelling.port(name)): body for name, body in value.items()})


def _pins(value: Json) -> Json:
    """Pins by the chip's name of them, each with a list."""
    if not isinstance(value, dict):
        return value
    return {str(spelling.pin(pin)): spelling.listed(spelling.capitals)(some) for pin, some in value.items()}


def _dma_ports(value: Json) -> Json:
    """A list of ports; an empty one for none."""
    return [] if value == "none" else spelling.listed(spelling.port)(value)


def _rail(value: Json) -> Json:
    """A rail, also by its voltage alone."""
    return _RAIL(value if isinstance(value, dict) else {"volts": value})


def _places(value: Json) -> Json:
    """The motors by number; a list is numbered from 1."""
    if isinstance(value, list):
        value = {str(number): motor for number, motor in enumerate(value, 1)}
    return _MOTORS(value)


def _device(entry: Json) -> Json:
    """``{receiver: {port: …}}`` → ``{kind: receiver, name: receiver, job: receiver, port: …}``."""
    kind: Json = entry
    body: Json = {}
    if isinstance(entry, dict):
        if "kind" in entry:
            kind, body = entry["kind"], entry
        elif len(entry) == 1:
            ((kind, body),) = entry.items()
    if not isinstance(kind, str) or not isinstance(body, dict | None):
        return entry
    kind = kind_of(kind)
    told = _present({"kind": kind, "name": kind, "job": KINDS.get(kind) or None})
    return _DEVICE({**told, **_present(body or {}), "kind": kind})


def _devices(value: Json) -> Json:
    if not isinstance(value, list):
        return value
    return [*_told_apart(_device(entry) for entry in value if entry is not None)]


def _told_apart(devices: Iterable[Json]) -> Iterator[Json]:
    """Devices of one name are numbered from the second on: findings speak of devices by name."""
    seen: set[str] = set()
    for device in devices:
        name = device.get("name") if isinstance(device, dict) else None
        if isinstance(device, dict) and isinstance(name, str):
            numbered = (f"{name} {n}" if n > 1 else name for n in count(1))
            device = {**device, "name": next(one for one in numbered if one not in seen)}
            seen.add(str(device["name"]))
        yield device


def _messages(value: Json) -> Json:
    """A list of messages, also of one alone; a mapping of messages to how often each comes stays one."""
    return value if isinstance(value, dict) else spelling.listed(spelling.capitals)(value)


def _job(value: Json) -> Json:
    return None if value == "none" else value


_PORTS = _named(
    _keys({"tx": spelling.pin, "rx": spelling.pin, "inverts": spelling.flag, "duplex": spelling.word})
)
_RAIL = _keys({"volts": spelling.word})
_MOTOR = _keys({"at": spelling.on_frame, "spin": spelling.spelt(SPINS)})
_MOTORS = _named(_MOTOR)
_DEVICE = _keys(
    {
        "job": _job,
        "port": spelling.port,
        "speaks": spelling.word,
        "rate_baud": spelling.whole,
        "rates_baud": spelling.listed(spelling.whole),
        "inverted": spelling.flag,
        "duplex": spelling.word,
        "canvas": spelling.listed(spelling.canvas),
        "messages": _messages,
        "framing": spelling.capitals,
        "standard": spelling.word,
        "wires": _keys({"*": spelling.spelt(ROLES)}),
        "supply_v": spelling.span,
    }
)
_SHEET = _keys(
    {
        "board": _keys(
            {
                "firmware": spelling.firmware,
                "ports": _ports,
                "motor_pads": _keys({"*": spelling.pin}),
                "log": _keys({"bus": spelling.capitals}),
                "sensors": _keys(
                    {
                        "gyro_hz": spelling.listed(spelling.whole),
                        "barometer": spelling.flag,
                        "magnetometer": spelling.flag,
                    }
                ),
                "pins": _pins,
                "dma": _keys(
                    {
                        "ports": _dma_ports,
                        "also": spelling.listed(spelling.capitals),
                        "requests": _keys({"*": spelling.listed(spelling.capitals)}),
                    }
                ),
                "rails": _named(_rail),
            }
        ),
        "devices": _devices,
        "esc": _keys(
            {
                "protocols": spelling.listed(spelling.protocol),
                "bidirectional": spelling.flag,
                "cells": spelling.span,
            }
        ),
        "motors": _keys(
            {
                "layout": spelling.layout,
                "magnets": spelling.whole,
                "reversible": spelling.flag,
                "places": _places,
            }
        ),
        "propeller": spelling.propeller,
        "battery": _keys(
            {
                "chemistry": spelling.spelt(CHEMISTRIES),
                "cells": spelling.cells,
                "connector": spelling.capitals,
            }
        ),
        "radio": _keys(
            {"channel_order": spelling.capitals, "arm": _keys({"channel": spelling.channel})},
        ),
        "video_link": _keys(
            {"kind": spelling.spelt({"analog": "analogue"}), "country": spelling.capitals},
        ),
    }
)
