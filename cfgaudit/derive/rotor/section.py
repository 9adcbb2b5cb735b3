"""Figures about rotors: section ``rotor`` of what rules see as ``derived``.

::

    loop_us             one control loop
    update_us           one throttle update on the wire, with its reply if the motors answer
    pack_full_v         the charged pack
    rpm                 the motors' at most: without a propeller, on the full pack
    erpm                the same, electrical
    tip_m_s             the propeller tip's speed at that rpm
    half_loop_hz        half the control rate: nothing above it can be told apart
    highest_harmonic_hz the highest multiple that the rpm filter follows at its lowest speed; 0 if it is off
    samples_per_loop    gyro rate ÷ control rate
    divides             whether that is a whole number
    dividing_hz         the highest rate up to the one set that divides the gyro's
    lowpass             the gyro filters' corners that are above half the loop rate, by number
    bounds              pairs of bounds whose lower one is above the upper: name, low, high
    filtered            whether any gyro filter is on
"""

from __future__ import annotations

import math

from msgspec import Struct

from cfgaudit.derive.battery import CHEMISTRIES
from cfgaudit.derive.inputs import above_zero
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.poles import erpm_of, no_load_rpm
from cfgaudit.derive.rotor.pulse import update_us
from cfgaudit.derive.rotor.speed import harmonic_hz, tip_speed_m_s
from cfgaudit.derive.tree import Tree, branch, told, whole, word


def rotor(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    control = above_zero(model, "model", "loop", "control_hz")
    half = control if isinstance(control, Missing) else control / 2
    return {
        "loop_us": control if isinstance(control, Missing) else round(1_000_000 / control, 2),
        "update_us": _update(model),
        "pack_full_v": pack_full_v(build),
        "rpm": top_rpm(build),
        "erpm": top_erpm(build),
        "tip_m_s": tip_m_s(build),
        "half_loop_hz": half,
        "highest_harmonic_hz": highest_harmonic_hz(model),
        **_division(model),
        "lowpass": _lowpass(model, half),
        "bounds": _bounds(model),
        "filtered": _filtered(model),
    }


def _update(model: Tree) -> float | Missing:
    protocol = word(model, "motors", "protocol").lower()
    answers = told(model, "motors", "bidirectional")
    if not protocol:
        return Missing(("model.motors.protocol",))
    if answers is None and protocol.startswith("dshot"):
        return Missing(("model.motors.bidirectional",))
    try:
        return round(update_us(protocol, answers is True), 2)
    except ValueError as unknown:
        return Missing(("model.motors.protocol",), str(unknown))


def pack_full_v(build: Tree) -> float | Missing:
    """Volts of the charged pack: cells × what a full cell of the chemistry has."""
    cells, chemistry = whole(build, "battery", "cells"), word(build, "battery", "chemistry").lower()
    if cells is None:
        return Missing(("build.battery.cells",))
    if chemistry not in CHEMISTRIES:
        return Missing(("build.battery.chemistry",))
    return round(cells * CHEMISTRIES[chemistry].full_v, 2)


def top_rpm(build: Tree) -> float | Missing:
    """Turns a minute without a propeller, on the full pack."""
    kv, volts = above_zero(build, "build", "motors", "kv"), pack_full_v(build)
    if isinstance(kv, Missing):
        return kv
    return volts if isinstance(volts, Missing) else round(no_load_rpm(kv, volts), 1)


def top_erpm(build: Tree) -> float | Missing:
    """The same, electrical."""
    rpm, magnets = top_rpm(build), whole(build, "motors", "magnets")
    if isinstance(rpm, Missing):
        return rpm
    if magnets is None:
        return Missing(("build.motors.magnets",))
    try:
        return round(erpm_of(rpm, magnets), 1)
    except ValueError as odd:
        return Missing(("build.motors.magnets",), str(odd))


def tip_m_s(build: Tree) -> float | Missing:
    """Speed of the propeller's tip at the top rpm."""
    rpm, inches = top_rpm(build), above_zero(build, "build", "propeller", "inches")
    if isinstance(inches, Missing):
        return inches
    return rpm if isinstance(rpm, Missing) else round(tip_speed_m_s(rpm, inches), 1)


def highest_harmonic_hz(model: Tree) -> float | Missing:
    """The highest multiple that the rpm filter follows at its lowest speed; 0 if it is off."""
    harmonics = whole(model, "filters", "rpm", "harmonics")
    if harmonics is None:
        return Missing(("model.filters.rpm.harmonics",))
    if harmonics == 0:
        return 0
    lowest = above_zero(model, "model", "filters", "rpm", "min_hz")
    return lowest if isinstance(lowest, Missing) else harmonic_hz(lowest, harmonics)


def samples_per_loop(model: Tree) -> float | Missing:
    """How many gyro samples come to one control loop."""
    gyro, control = (
        above_zero(model, "model", "loop", "gyro_hz"),
        above_zero(model, "model", "loop", "control_hz"),
    )
    if isinstance(gyro, Missing) or isinstance(control, Missing):
        return gyro if isinstance(gyro, Missing) else control
    if math.isinf(gyro / control):
        return Missing(("model.loop.control_hz",), f"nothing comes of a control_hz of {control}")
    return gyro / control


def _division(model: Tree) -> Section:
    samples = samples_per_loop(model)
    if isinstance(samples, Missing):
        return dict.fromkeys(("samples_per_loop", "divides", "dividing_hz"), samples)
    gyro = whole(model, "loop", "gyro_hz") or 1
    fewest = max(1, math.ceil(samples))
    steps = next((n for n in range(fewest, fewest + 64) if gyro % n == 0), fewest)
    return {
        "samples_per_loop": round(samples, 3),
        "divides": samples >= 1 and samples == int(samples),
        "dividing_hz": gyro // steps,
    }


def _lowpass(model: Tree, half: float | Missing) -> Figure:
    corners = branch(model, "filters", "gyro_lowpass_hz")
    if not corners:
        return Missing(("model.filters.gyro_lowpass_hz",))
    if isinstance(half, Missing):
        return half
    numbers = ((number, hz) for number, hz in corners.items() if isinstance(hz, int | float))
    return [{"number": number, "hz": hz} for number, hz in numbers if hz > half]


class Pair(Struct, frozen=True):
    """A lower and an upper bound that belong together, by where the model keeps them."""

    name: str
    low_at: tuple[str, ...]
    high_at: tuple[str, ...]


_PAIRS = (Pair("the notch's reach", ("filters", "notch", "min_hz"), ("filters", "notch", "max_hz")),)


def _bounds(model: Tree) -> Figure:
    known = [(pair, ends) for pair in _PAIRS if len(ends := _ends(model, pair)) == 2]
    if not known:
        return Missing((".".join(("model", *_PAIRS[0].low_at)),))
    return [
        {
            "name": pair.name,
            "low": ends[0],
            "high": ends[1],
            "low_at": [*pair.low_at],
            "high_at": [*pair.high_at],
        }
        for pair, ends in known
        if ends[0] > ends[1]
    ]


def _ends(model: Tree, pair: Pair) -> list[float]:
    """The bounds that are told, the lower one first."""
    ends = (told(model, *pair.low_at), told(model, *pair.high_at))
    return [end for end in ends if isinstance(end, int | float)]


def _filtered(model: Tree) -> bool | Missing:
    corners = branch(model, "filters", "gyro_lowpass_hz")
    if not corners:
        return Missing(("model.filters.gyro_lowpass_hz",))
    return any(isinstance(one, int | float) and one > 0 for one in corners.values())
