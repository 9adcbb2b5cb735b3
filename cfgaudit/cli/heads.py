"""The heads of reports, from what was read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf
from cfgaudit.report.paper import BuildHead, DumpHead

if TYPE_CHECKING:
    from cfgaudit.model.sheet import Build

ACCEPTED = "its accepted findings are not left out yet: this version lists every finding"


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
        notes=(ACCEPTED,) if tree.get("accepted") else (),
    )


def _word(reading: Reading, key: str) -> str:
    leaf = reading.model.at(("firmware", key))
    return str(leaf.value) if isinstance(leaf, Leaf) else ""
