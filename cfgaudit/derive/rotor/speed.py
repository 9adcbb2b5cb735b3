"""How fast a motor and its propeller turn at most, from kv and the full pack.

Source: textbook definitions, from memory: kv is turns a minute for each volt without load; a tip
moves π × diameter for each turn. The speed of sound is that of dry air at 20 °C (ISO 9613-1: 343.2 m/s).
"""

from __future__ import annotations

import math

SOUND_M_S = 343.2
INCH_M = 0.0254  # exact, by definition


def tip_speed_m_s(rpm: float, inches: float) -> float:
    """Speed of a propeller's tip in m/s, at ``rpm`` turns a minute and a diameter in inches."""
    return math.pi * inches * INCH_M * rpm / 60


def harmonic_hz(lowest_hz: float, harmonics: int) -> float:
    """The highest frequency that a filter on ``harmonics`` multiples follows at the lowest speed."""
    return lowest_hz * harmonics
