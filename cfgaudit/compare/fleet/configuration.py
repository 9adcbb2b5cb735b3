"""One craft's settings as they can be held against those of others of its kind."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.compare.difference import canonical
from cfgaudit.compare.private import PRIVATE, is_written_in
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Value

# What a craft has of its own by nature: names, scales found with a meter. What makes the kind, and what
# the dialect says of the firmware, are no settings.
OWN = (
    "identity",
    "limits",
    "battery.voltage_scale",
    "battery.current_scale",
    "firmware.name",
    "firmware.board",
)


class Kind(Struct, frozen=True, order=True):
    """What craft must share for their settings to be comparable; ``layout`` is "" where no sheet tells."""

    dialect: str
    board: str
    layout: str


class Hidden(Struct, frozen=True):
    """A private value: its digest tells equal ones from others within one run, and nothing else."""

    digest: str


class Configuration(Struct, frozen=True):
    """The settings of a craft by model path, or by the path of one key that is a flat setting's name.

    ``complete``: what it does not say is not set; else silence tells nothing.
    """

    kind: Kind
    version: str
    complete: bool
    values: tuple[tuple[Path, Value | Hidden], ...]


def configuration(reading: Reading, sheet: Build, salt: bytes) -> Configuration:
    """The settings of a craft, private values as digests."""
    private = {place for _, place in reading.private}
    told = ((path, leaf) for path, leaf in reading.model.leaves.items() if not _is_own(path))
    flat = (((name,), leaf) for name, leaf in reading.model.settings.items())

    def values() -> Iterator[tuple[Path, Value | Hidden]]:
        for path, leaf in (*told, *flat):
            hidden = path in PRIVATE or is_written_in(private, leaf)
            yield path, _hidden(path, leaf.value, salt) if hidden else leaf.value

    return Configuration(
        Kind(reading.dialect_name, _word(reading, "board"), _layout(sheet)),
        _word(reading, "version"),
        reading.extent is not Extent.UNKNOWN,
        tuple(values()),
    )


def _is_own(path: Path) -> bool:
    return path[0] in OWN or dotted(path[:2]) in OWN


def _hidden(path: Path, value: Value, salt: bytes) -> Hidden:
    content = f"{dotted(path)}\0{canonical(value)!r}".encode("utf-8", "surrogatepass")
    return Hidden(hmac.new(salt, content, hashlib.sha256).hexdigest())


def _word(reading: Reading, key: str) -> str:
    leaf = reading.model.at(("firmware", key))
    return str(leaf.value) if isinstance(leaf, Leaf) else ""


def _layout(sheet: Build) -> str:
    motors = sheet.tree.get("motors")
    layout = motors.get("layout") if isinstance(motors, dict) else None
    return layout if isinstance(layout, str) else ""
