"""The heads of reports, from what was read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cfgaudit.cli.sources import is_file
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf
from cfgaudit.report.paper import BuildHead, DumpHead

if TYPE_CHECKING:
    from cfgaudit.compare.plain.lines import Plain
    from cfgaudit.model.sheet import Build

SHOWN = 3  # names in a note, at most


def dump_head(reading: Reading) -> DumpHead:
    """What a report says of a dump."""
    return DumpHead(
        file=reading.dump.file,
        firmware=_word(reading, "name"),
        version=_word(reading, "version"),
        board=_word(reading, "board"),
        extent=reading.extent.value,
        dialect=reading.dialect.name,
        settings=reading.dump.settings,
        not_understood=len(reading.unknown),
        notes=reading.dump.source.notes,
        keep_with=reading.dialect.keep_with,
        is_file=is_file(reading.dump.file),
    )


def plain_head(side: Plain, other: Plain, lists: Sequence[str] = ()) -> DumpHead:
    """What a report says of a dump that no dialect knows, compared with another.

    ``lists``: keys whose lines stand in another order than in the other dump.
    """
    from cfgaudit.compare.plain.lines import remarks_apart

    more = f" and {len(lists) - SHOWN} more" if len(lists) > SHOWN else ""
    order = f"order is not compared, and differs among the lines of {', '.join(lists[:SHOWN])}{more}"
    alone = remarks_apart(side, other)
    stand = "remark line stands" if alone == 1 else "remark lines stand"
    remarks = (f"{alone} {stand} in this file alone: remarks are not compared",) if alone else ()
    return DumpHead(
        file=side.source.file,
        firmware="",
        version="",
        board="",
        extent="unknown",
        dialect="",
        settings=side.settings,
        not_understood=0,
        notes=(*side.source.notes, *remarks, *((order,) if lists else ())),
    )


def build_head(sheet: Build) -> BuildHead:
    """What a report says of a build sheet."""
    tree = sheet.tree
    motors = tree.get("motors")
    places = motors.get("places") if isinstance(motors, dict) else None
    devices = tree.get("devices")
    return BuildHead(
        file=sheet.file,
        craft=str(tree.get("craft", "")),
        devices=len(devices) if isinstance(devices, list) else 0,
        motors=len(places) if isinstance(places, dict) else 0,
    )


def _word(reading: Reading, key: str) -> str:
    leaf = reading.model.at(("firmware", key))
    return str(leaf.value) if isinstance(leaf, Leaf) else ""
