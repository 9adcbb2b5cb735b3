"""Which frame a mixer is made for: the layout, and the place of each motor, from what the motors do.

A motor's roll and pitch tell the direction in which it stands from the middle. A layout fits if every
motor has a place of it near that direction, pulling the same way, and every place has its motors.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from msgspec import Struct

from cfgaudit.derive.mixer.frame import ANGLES, SLIGHT, Row, alike, place_of

_STACKED = frozenset({"x8", "y6"})  # layouts with two motors, one above the other, at each place


class Fit(Struct, frozen=True):
    """A layout with the place in words of each motor, by its number.

    Of two motors at one place which is the upper one, no mixer tells.
    """

    layout: str
    places: Mapping[str, str]


def fit(rows: Mapping[str, Row], layout: str = "") -> Fit | None:
    """The layout that a mixer is made for, or None; only this one is tried if one is named."""
    tried = [layout] if layout else [*ANGLES]
    found = [
        (miss, n, places) for n, name in enumerate(tried) for miss, places in [_places(rows, name)] if places
    ]
    if not found:
        return None
    _, n, places = min(found, key=lambda one: one[:2])
    return Fit(tried[n], places)


def _places(rows: Mapping[str, Row], layout: str) -> tuple[float, Mapping[str, str]]:
    """The place of each motor, and by how many degrees they miss them in all; none if they do not fit."""
    angles = ANGLES.get(layout, {})
    each = 2 if layout in _STACKED else 1
    if not angles or len(rows) != each * len(angles):
        return math.inf, {}
    near = {number: _nearest(row, layout) for number, row in rows.items()}
    held = [at for _, at in near.values()]
    if any(held.count(at) != each for at in angles):
        return math.inf, {}
    return sum(miss for miss, _ in near.values()), {number: at for number, (_, at) in near.items()}


def _nearest(row: Row, layout: str) -> tuple[float, str]:
    """By how many degrees a motor misses the nearest place that pulls as it does, and that place."""
    if math.hypot(row.roll, row.pitch) <= SLIGHT:
        return math.inf, ""
    angle = math.degrees(math.atan2(-row.roll, row.pitch))
    misses = [
        (abs((angle - own + 180) % 360 - 180), at)
        for at, own in ANGLES[layout].items()
        if alike(_levers(layout, at), row.levers)
    ]
    return min(misses, default=(math.inf, ""))


def _levers(layout: str, at: str) -> tuple[float, float]:
    x, y = place_of(layout, at)
    return -y, x
