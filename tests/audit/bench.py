"""Where rules meet dumps in these tests: the samples, and small models in a dialect's own hand."""

from __future__ import annotations

import json
import re
from collections.abc import Container, Iterable, Mapping
from functools import cache

from msgspec.structs import replace

from cfgaudit.audit.example import in_shape as shaped
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.codec.port import UNMAPPED
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dialect.write import write
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build, build_from, normalise
from cfgaudit.model.value import Json, Value
from cfgaudit.model.version import ordered
from tests.house.checkout import ROOT

SAMPLES = ROOT / "samples"

Leaves = Mapping[Path, Value]


def asked(rules: Iterable[Rule]) -> set[str]:
    """Those that an audit asks of a file that is not to go into git."""
    return {rule.id for rule in rules} - {"file/private-value"}


@cache
def dialects() -> Mapping[str, Dialect]:
    return {dialect.name: dialect for dialect in shipped_dialects()}


def reading_of(text: str, file: str = "dump.txt", board: Build | None = None) -> Reading:
    """A dump's text, read by the dialect that its header names, on the board of a build sheet."""
    source = Text(file, text, "utf-8", mark=False)
    found = recognise(source, [*dialects().values()])
    numbers = board.port_numbers if board else {}
    return read_dump(source, replace(found, dialect=found.dialect.on_board(numbers)))


@cache
def sample_text(name: str) -> str:
    return (SAMPLES / name).read_text("utf-8")


@cache
def sample(name: str) -> Reading:
    """A sample by its path below samples: ``otter/after.txt``; its places say ``after.txt``.

    It is read on its craft's board.
    """
    craft, _, file = name.rpartition("/")
    return reading_of(sample_text(name), file, sheet(craft))


@cache
def sheet(craft: str) -> Build:
    """A sample craft's build sheet; its places say ``build.yaml``."""
    placed = read_yaml((SAMPLES / craft / "build.yaml").read_text("utf-8"), "build.yaml")
    return build_from(placed)


def sheet_of(build: Mapping[str, Json]) -> Build:
    """A build sheet, perhaps a partial one, from data."""
    placed = read_yaml(json.dumps(build), "build.yaml")
    return Build(normalise(dict(build)), placed, placed.file)


def typed(reading: Reading, *lots: Iterable[str]) -> Reading:
    """The configuration after several lots of lines were typed, one after the other."""
    for lines in lots:
        reading = pasted(reading, Text("typed", "".join(f"{line}\n" for line in lines), "utf-8", mark=False))
    return reading


def values(reading: Reading) -> dict[Path, Value]:
    """What a dump says, without where it says it."""
    return {path: leaf.value for path, leaf in reading.model.leaves.items()}


# Small models in a dialect's hand

_TOLD = {
    "firmware.board": "Reed-405",
    "firmware.mcu": "STM32F405RGT6",
    "firmware.built": "2026-05-18",
}


def versions_of(dialect: Dialect, leaves: Leaves | None = None) -> tuple[str, ...]:
    """The versions that write differently: the first one, and those from which names are others, or the
    way to write a value.

    Of the latter only those that matter to the leaves, if there are any given.
    """
    first = ".".join(map(str, next(bound for operator, bound in dialect.versions.terms if operator == ">=")))
    told = (
        giver for path in leaves or () for one in (dialect, dialect.at(first)) for giver in one.giving(path)
    )
    written = {form.kin for _, form, _, _ in told}
    names = [(since, {*renames}) for since, renames in dialect.renamed]
    settings = [form for scope in dialect.scopes for form in scope.settings.values()]
    ways = [(way.since, {form.kin}) for form in settings for way in form.ways if way.since]
    later = {since for since, kin in (*names, *ways) if leaves is None or written & kin}
    return (first, *sorted(later, key=ordered))


def header(dialect: Dialect, version: str) -> str:
    """The remarks that a full dump of this firmware begins with."""
    told = {**_TOLD, "firmware.version": version, "extent": min(dialect.full)}
    remarks = (re.sub(r"\{([a-z_.]+)\}", lambda hole: told[hole[1]], one.text) for one in dialect.headers)
    return "".join(f"{dialect.remark} {remark}\n" for remark in remarks)


# The number that a firmware which numbers ports itself has for each, in no order of the chip's.
NUMBERS = {
    "USB": 0, "UART1": 4, "UART2": 6, "UART3": 1, "UART4": 2, "UART5": 7, "UART6": 3, "UART7": 9, "UART8": 5,
    "SOFT1": 8,
}  # fmt: skip


def numbered(build: Mapping[str, Json], leaves: Leaves) -> dict[str, Json]:
    """A build sheet whose board's ports have numbers: all that leaves and devices name, if it lists none."""
    board = build.get("board")
    board = board if isinstance(board, dict) else {}
    listed = board.get("ports")
    if not isinstance(listed, dict):
        listed = dict.fromkeys(path[1] for path in leaves if path[0] == "ports")
        devices = build.get("devices")
        for entry in devices if isinstance(devices, list) else ():
            for device in entry.values() if isinstance(entry, dict) else ():
                if isinstance(device, dict) and device.get("port") in NUMBERS:
                    listed.setdefault(str(device["port"]))
    ports: dict[str, Json] = {}
    for id, port in {"USB": None, **listed}.items():
        ports[id] = {**(port if isinstance(port, dict) else {}), "number": NUMBERS[id]}
    return {**build, "board": {**board, "ports": ports}}


def in_shape(dialect: Dialect, leaves: Leaves, board: Build | None = None) -> dict[Path, Value]:
    """The leaves as this firmware has them.

    Without its constants; a port's rate where it keeps it; switch ranges counted from where it
    begins to count; ports that the board does not number by the firmware's own number.
    """
    known = {*board.port_numbers.values()} if board and dialect.numbers_ports else {*NUMBERS}
    return shaped(dialect, {_on_board(path, known): value for path, value in leaves.items()})


def _on_board(path: Path, known: Container[str]) -> Path:
    if path[0] == "ports" and path[1] not in known:
        return (path[0], f"{UNMAPPED}{NUMBERS[path[1]]}", *path[2:])
    return path


def dump_of(
    dialect: Dialect, version: str, leaves: Leaves, board: Build | None = None
) -> tuple[str, tuple[str, ...]]:
    """A full dump that says these leaves, and what the dialect has no way to say."""
    head = header(dialect, version)
    written = write(reading_of(head, board=board), leaves)
    return head + "".join(f"{line}\n" for line in written.lines), written.cannot
