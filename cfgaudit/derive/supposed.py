"""The dump that would tell everything of the craft on a build sheet, as rules could be judged by it.

Where the sheet decides (jobs and rates of ports, outputs, mixer) the supposed model says what the sheet
says; everything else are the examples of the model's schema. Its values are nobody's settings and
judge nothing: with it one sees what a rule lacks that no dump can tell.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import Any

from cfgaudit.derive.canvas import canvas
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.mixer.frame import Row
from cfgaudit.derive.mixer.section import duties
from cfgaudit.derive.motors import pad_pin
from cfgaudit.derive.sight import ELEMENTS
from cfgaudit.derive.tree import Tree, branch, branches, entries, word, words
from cfgaudit.derive.wiring import Port, wiring
from cfgaudit.model.schema import referred
from cfgaudit.model.value import Json

RATE_BAUD = 115_200  # of a port whose device tells none
_JOB = "gnss"  # of every port, where the sheet tells no device at all
_PIN = "PA0"
_ROW = Row(1, 1, 1, 1)


def variants() -> int:
    """How many supposed models there are: so many that each word that a setting can have comes up."""
    return max(len(words) for words in _word_lists(_schema()["properties"]))


def _word_lists(part: Json) -> Iterator[list[Json]]:
    """The words of every setting that has a list of them."""
    inner = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
    for one in inner:
        yield from _word_lists(one)
    if isinstance(part, dict) and isinstance(words := part.get("enum"), list):
        yield words


@cache
def _schema() -> dict[str, Any]:
    text = resources.files("cfgaudit.model").joinpath("model.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def supposed(build: Tree, variant: int = 0) -> Tree:
    """What a dump of this craft could say; ``variant`` goes round the words of each setting."""
    model: Tree = {}
    for key, part in _schema()["properties"].items():
        model[key] = _told(part, variant)
    model["ports"] = _ports(build) or model["ports"]
    model["outputs"] = _outputs(build) or model["outputs"]
    model["mixer"] = _mixer(build) or model["mixer"]
    model["osd"] = {**branch(model, "osd"), "elements": _elements(), **_grid(build)}
    return model


def _told(part: Mapping[str, Any], variant: int) -> Json:
    """A value for a part of the schema: its words in turn, its example, or all its keys."""
    part = referred(part, _schema())
    if "enum" in part:
        words: list[Json] = part["enum"]
        return words[variant % len(words)]
    if part.get("type") == "boolean":
        return variant % 2 == 0
    fixed = part.get("properties")
    if fixed and "propertyNames" not in part:
        return {key: _told(inner, variant) for key, inner in fixed.items()}
    example: Json = part["examples"][0]
    return example


def _elements() -> Tree:
    """Every element that rules look at, shown, each on a row of its own."""
    return {name: {"column": 1, "row": row, "width": 4, "shown": True} for row, name in enumerate(ELEMENTS)}


def _ports(build: Tree) -> Tree:
    known = "devices" in build
    return {
        id: _port(port, [*sorted(port.soldered)] if known else [_JOB])
        for id, port in wiring({}, build).ports.items()
    }


def _port(port: Port, jobs: list[Json]) -> Tree:
    rates = [rate for device in port.devices for rate in device.rates_baud]
    return {
        "functions": jobs,
        "rate_baud": next(iter(rates), RATE_BAUD),
        "inverted": False,
        "duplex": "full",
    }


def _outputs(build: Tree) -> Tree:
    made: Tree = {}
    for number, place in branches(build, "motors", "places"):
        pin = pad_pin(number, word(place, "pad"), build)
        if number.isdecimal():
            made[number] = {"motor": int(number), "pin": _PIN if isinstance(pin, Missing) else pin}
    return made


def _mixer(build: Tree) -> Tree:
    rows = {number: _ROW if isinstance(row, Missing) else row for number, row in duties(build).items()}
    return {
        number: {"throttle": row.lift, "roll": row.roll, "pitch": row.pitch, "yaw": row.yaw}
        for number, row in rows.items()
    }


def _grid(build: Tree) -> Tree:
    sizes = (size for _, device in entries(build, "devices") for size in words(device, "canvas"))
    try:
        grid = canvas(next(sizes, ""))
    except ValueError:  # none is told, or one of no columns
        return {}
    return {"columns": grid.columns, "rows": grid.rows}
