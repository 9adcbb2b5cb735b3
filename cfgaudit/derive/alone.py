"""Figures of the build sheet alone: those that are the same whatever a dump may say.

A section that never looks into the model is one as a whole. Of the others ``PARTS`` names the figures
that the model has no hand in; the rest of them is left out, so that nothing is judged by a figure that
is only what it is because no dump was there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NoReturn

from cfgaudit.derive.facts import facts
from cfgaudit.derive.missing import Figure, Section
from cfgaudit.derive.tree import Tree
from cfgaudit.model.value import Json

# Section → its figures that hang on the build sheet alone; * stands for every key.
PARTS: Mapping[str, tuple[str, ...]] = {
    "alignment": ("mounted",),
    "battery": ("full_v", "warn_v", "empty_v", "usual", "spoken"),
    "identity": ("chip_declared",),
    "log": ("device_bytes_s",),
    "mixer": ("props",),
    "modes": ("arm_from_us", "arm_to_us"),
    "motors": ("place.*.spoken", "place.*.pad_pin", "count", "esc_protocols", "reversible"),
    "osd": ("wanted", "wanted_by", "wanted_index", "wanted_words", "unit"),
    "receiver": ("speaks", "radio_order"),
    "rotor": ("pack_full_v", "rpm", "erpm", "tip_m_s"),
    "serial": (
        "device.*.index",
        "device.*.job",
        "device.*.port",
        "device.*.rates_baud",
        "device.*.rivals",
    ),
    "sense": ("gnss", "gyro_hz", "sensor.*.declared"),
    "signal": (
        "device.*.index",
        "device.*.port",
        "device.*.inverted",
        "device.*.by",
        "device.*.can_invert",
        "device.*.half",
        "device.*.duplex",
        "device.*.pads",
    ),
    "wires": ("joint", "device"),
}


def figures_alone(build: Tree, wanted: Iterable[str]) -> dict[str, Section]:
    """The wanted sections, as far as they hang on the build sheet alone."""
    return {name: section for one in wanted for name, section in _alone(build, one)}


def _alone(build: Tree, name: str) -> Iterator[tuple[str, Section]]:
    try:
        yield from facts(_Shut(), build, {name}).items()
    except _Opened:
        for section in facts({}, build, {name}).values():
            yield name, parts_of(section, PARTS.get(name, ()))


def parts_of(section: Section, paths: Iterable[str]) -> Section:
    """A section's figures at these paths, and nothing else of it."""
    kept: Section = {}
    for path in paths:
        _keep(kept, section, tuple(path.split(".")))
    return kept


def _keep(into: Section, figures: Figure, path: tuple[str, ...]) -> None:
    if not isinstance(figures, dict):
        return
    for key in figures if path[0] == "*" else path[:1]:
        if key not in figures:
            continue
        if len(path) == 1 or not isinstance(figures[key], dict):
            into[key] = figures[key]
        else:
            inner = into.setdefault(key, {})
            assert isinstance(inner, dict)  # no path of PARTS runs through the end of another
            _keep(inner, figures[key], path[1:])


class _Opened(Exception):
    """A section has looked into the model."""


class _Shut(dict[str, Json]):
    """A model that nobody can look into without being noticed."""

    def _opened(self, *_: Any) -> NoReturn:
        raise _Opened

    __getitem__ = __contains__ = __iter__ = __len__ = __eq__ = get = keys = values = items = _opened
