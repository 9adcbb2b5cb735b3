"""Where rules meet dumps in these tests: the samples, and small models in a dialect's own hand."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

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
from tests.house.checkout import ROOT

SAMPLES = ROOT / "samples"

Leaves = Mapping[Path, Value]


@cache
def dialects() -> Mapping[str, Dialect]:
    return {dialect.name: dialect for dialect in shipped_dialects()}


def reading_of(text: str, file: str = "dump.txt") -> Reading:
    """A dump's text, read by the dialect that its header names."""
    source = Text(file, text, "utf-8", mark=False)
    return read_dump(source, recognise(source, [*dialects().values()]))


@cache
def sample_text(name: str) -> str:
    return (SAMPLES / name).read_text("utf-8")


@cache
def sample(name: str) -> Reading:
    """A sample by its path below samples: ``otter/after.txt``; its places say ``after.txt``."""
    return reading_of(sample_text(name), name.rpartition("/")[2])


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
    """The versions that write differently: the first one, and those from which names are others.

    Of the latter only those that matter to the leaves, if there are any given.
    """
    first = next(bound for operator, bound in dialect.versions.terms if operator == ">=")
    written = {form.name for path in leaves or () for _, form, _, _ in dialect.giving(path)}
    later = (since for since, names in dialect.renamed if leaves is None or written & names.keys())
    return (".".join(map(str, first)), *later)


def header(dialect: Dialect, version: str) -> str:
    """The remarks that a full dump of this firmware begins with."""
    told = {**_TOLD, "firmware.version": version, "extent": min(dialect.full)}
    remarks = (re.sub(r"\{([a-z_.]+)\}", lambda hole: told[hole[1]], one.text) for one in dialect.headers)
    return "".join(f"{dialect.remark} {remark}\n" for remark in remarks)


def in_shape(dialect: Dialect, leaves: Leaves) -> dict[Path, Value]:
    """The leaves as this firmware has them.

    Without its constants; a port's rate where it keeps it; switch ranges counted from where it
    begins to count.
    """
    return dict(_shaped(dialect, leaves))


def _shaped(dialect: Dialect, leaves: Leaves) -> Iterator[tuple[Path, Value]]:
    for path, value in leaves.items():
        if path in dialect.constants:
            continue
        match path:
            case ("ports", id, "rate_baud") if not any(dialect.giving(path)):
                jobs = leaves.get(("ports", id, "functions"), ())
                for job in jobs if isinstance(jobs, tuple) else ():
                    yield ("ports", id, "rates_baud", str(job)), value
            case ("modes", mode, slot, leaf):
                yield ("modes", mode, str(int(slot) + _first_slot(dialect, path)), leaf), value
            case _:
                yield path, value


def _first_slot(dialect: Dialect, path: Path) -> int:
    scope, form, _, keys = next(dialect.giving(path))
    (name,) = (name for name, key in keys.items() if key == path[2])
    cell = form.cells.get(name) or scope.cells[name]
    return next(number for number in range(9) if not cell.outside(number))


def dump_of(dialect: Dialect, version: str, leaves: Leaves) -> tuple[str, tuple[str, ...]]:
    """A full dump that says these leaves, and what the dialect has no way to say."""
    head = header(dialect, version)
    written = write(reading_of(head), leaves)
    return head + "".join(f"{line}\n" for line in written.lines), written.cannot
