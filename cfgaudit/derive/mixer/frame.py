"""Frames: where a motor stands, from its place in words, and what it must do there.

Source: rigid-body statics, by hand. A rotor's drag turns the craft against the rotor's own turn. Which
angle a word means in which layout is common practice of the trade, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

ROUND = 1e-6  # below it a lever is none
SLIGHT = 0.05  # of a motor's full share: mixers are set in hundredths, and thirds do not come out even

_DIAGONAL = {"front right": 45, "rear right": 135, "rear left": 225, "front left": 315}
_PLUS = {"front": 0, "right": 90, "rear": 180, "left": 270}

# Layout → place in words, without top and bottom → degrees from the nose, clockwise seen from above.
ANGLES: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "quad-x": _DIAGONAL,
        "x8": _DIAGONAL,
        "quad-plus": _PLUS,
        "hexa-x": {
            "front right": 30,
            "right": 90,
            "rear right": 150,
            "rear left": 210,
            "left": 270,
            "front left": 330,
        },
        "hexa-plus": {
            "front": 0,
            "front right": 60,
            "rear right": 120,
            "rear": 180,
            "rear left": 240,
            "front left": 300,
        },
        "y6": {"front right": 60, "rear": 180, "front left": 300},
        "octo-x": {
            "front right": 22.5,
            "right front": 67.5,
            "right rear": 112.5,
            "rear right": 157.5,
            "rear left": 202.5,
            "left rear": 247.5,
            "left front": 292.5,
            "front left": 337.5,
        },
        "octo-plus": {**_PLUS, **_DIAGONAL},
    }
)


class Row(Struct, frozen=True):
    """What one motor does: shares of lift, roll, pitch and yaw."""

    lift: float
    roll: float
    pitch: float
    yaw: float

    @property
    def levers(self) -> tuple[float, float]:
        """Roll and pitch: what hangs on the place alone."""
        return self.roll, self.pitch


def place_of(layout: str, at: str) -> tuple[float, float]:
    """A place in words → (x, y) on a frame of radius 1. Raises ValueError for one that it does not have."""
    angles = ANGLES.get(layout)
    if angles is None:
        raise ValueError(f"where the motors of a {layout} stand is not known here: give x_mm and y_mm")
    plain = " ".join(word for word in at.split() if word not in ("top", "bottom"))
    if plain not in angles:
        raise ValueError(f"a {layout} has no place {at!r}, only {', '.join(angles)}")
    angle = math.radians(angles[plain])
    return math.cos(angle), math.sin(angle)


def duty(x: float, y: float, spin: str) -> Row:
    """What a motor at (x, y) does, its place counted in arms' lengths: lift 1, and its levers.

    ``spin``: clockwise or counter-clockwise, seen from above; "" leaves the yaw 0.
    """
    yaw = {"clockwise": -1.0, "counter-clockwise": 1.0}.get(spin, 0.0)
    return Row(1.0, _plain(-y), _plain(x), yaw)


def _plain(lever: float) -> float:
    return 0.0 if abs(lever) < ROUND else lever


def alike(place: tuple[float, float], levers: tuple[float, float]) -> bool:
    """Whether roll and pitch pull the same way: a lever that the place hardly has may be either."""
    signs = ((sign(one), sign(other)) for one, other in zip(place, levers, strict=True))
    return all(one == other for one, other in signs)


def sign(share: float) -> int:
    """Which way a share pulls: -1, 0 or 1; a slight one pulls no way."""
    return 0 if abs(share) <= SLIGHT else 1 if share > 0 else -1
