"""Rotors with their sums: signal, speed, filters."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.battery import CHEMISTRIES
from cfgaudit.derive.dshot import BIT_RATES, FRAME_BITS, REPLY_BITS, TURN_ROUND_US, times
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, Value, figure, said
from cfgaudit.derive.rotor.section import rotor
from cfgaudit.derive.tree import Tree, told, whole, word

_DSHOT = "esp-idf's dshot_esc_encoder.c; the turn-round of 30 µs is common practice, from memory"
_PULSE = "common practice, from memory"
_SPEED = "textbook definitions, from memory"
_SOUND = "textbook definitions, from memory; speed of sound 343.2 m/s at 20 °C: ISO 9613-1"
_SAMPLING = "the sampling theorem: nothing above half the rate can be told apart"


def table(model: Tree, build: Tree) -> Table:
    """What the motors' signal takes, how fast they turn, and what the filters follow."""
    return Table("rotor", "motor signal, speed and filters", tuple(_rows(model, build)))


def _rows(model: Tree, build: Tree) -> Iterator[Quantity]:
    figures = rotor(model, build)

    def row(what: str, key: str, unit: str, sum: str, source: str, *rules: str) -> Quantity:
        value = figures[key]
        told_value: Value | Missing = value if isinstance(value, Missing | bool | int | float | str) else ""
        return Quantity("", what, told_value, unit, "" if isinstance(value, Missing) else sum, source, rules)

    control = told(model, "loop", "control_hz")
    protocol = word(model, "motors", "protocol").lower()
    exchange, source = _exchange(protocol, told(model, "motors", "bidirectional") is True)
    yield row(
        "one control loop",
        "loop_us",
        "µs",
        f"1,000,000 µs ÷ {said(control)} Hz",
        "",
        "motor/update-too-slow",
    )
    yield row("one throttle update", "update_us", "µs", exchange, source, "motor/update-too-slow")
    cells, chemistry = whole(build, "battery", "cells"), word(build, "battery", "chemistry").lower()
    full = CHEMISTRIES[chemistry].full_v if chemistry in CHEMISTRIES else 0
    kv, magnets = told(build, "motors", "kv"), whole(build, "motors", "magnets")
    volts, rpm = figures["pack_full_v"], figures["rpm"]
    yield row(
        "charged pack",
        "pack_full_v",
        "V",
        f"{cells} cells × {full:.2f} V",
        "a full cell: published guides for LiPo (hobbygraderc.com); LiHV and Li-ion from memory",
        "motor/erpm-too-high",
    )
    yield row(
        "motor speed without load",
        "rpm",
        "rpm",
        f"{said(kv)} rpm/V × {said(volts)} V",
        _SPEED,
        "motor/erpm-too-high",
    )
    yield row(
        "the same, electrical",
        "erpm",
        "eRPM",
        f"{said(rpm)} rpm × {magnets} magnets ÷ 2",
        _SPEED,
        "motor/erpm-too-high",
    )
    yield row(
        "propeller tip at that speed",
        "tip_m_s",
        "m/s",
        f"π × {said(told(build, 'propeller', 'inches'))} in × 0.0254 m/in × {said(rpm)} rpm ÷ 60",
        _SOUND,
        "motor/tip-too-fast",
    )
    yield row(
        "half the loop rate",
        "half_loop_hz",
        "Hz",
        f"{said(control)} Hz ÷ 2",
        _SAMPLING,
        "filter/harmonics-too-high",
        "filter/corner-too-high",
    )
    harmonics, lowest = told(model, "filters", "rpm", "harmonics"), told(model, "filters", "rpm", "min_hz")
    spoken = f"{said(harmonics)} × {said(lowest)} Hz" if harmonics else "the rpm filter is off"
    yield row(
        "highest harmonic at lowest speed",
        "highest_harmonic_hz",
        "Hz",
        spoken,
        _SPEED,
        "filter/harmonics-too-high",
    )
    yield row(
        "gyro samples a loop",
        "samples_per_loop",
        "",
        f"{said(told(model, 'loop', 'gyro_hz'))} Hz ÷ {said(control)} Hz",
        "",
        "filter/loop-does-not-divide",
    )


def _exchange(protocol: str, answers: bool) -> tuple[str, str]:
    if protocol not in BIT_RATES:
        return "the longest pulse", _PULSE
    one = times(BIT_RATES[protocol])
    frame = f"{FRAME_BITS} bits × {figure(one.bit_us)} µs"
    if not answers:
        return frame, _DSHOT
    return f"{frame} + {figure(TURN_ROUND_US)} µs + {REPLY_BITS} bits × {figure(one.reply_bit_us)} µs", _DSHOT
