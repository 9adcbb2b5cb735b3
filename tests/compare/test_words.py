"""Every kind of change, in the words in which a builder would tell it."""

from __future__ import annotations

import pytest

from cfgaudit.compare.words import with_unit
from cfgaudit.model.path import parse
from cfgaudit.model.value import Value
from tests.compare.sides import said

Leaves = dict[str, Value]


def ports(**jobs: str) -> Leaves:
    return {f"ports.{port}.functions": tuple(words.split()) for port, words in jobs.items()}


def motors(*pins: str, numbers: str = "12345678") -> Leaves:
    """Motor 1 on the first pin, and so on; ``numbers`` are the outputs that drive them."""
    driven = list(zip(numbers, pins, strict=False))
    leaves: Leaves = {f"outputs.{number}.motor": n for n, (number, _) in enumerate(driven, 1)}
    return leaves | {f"outputs.{number}.pin": pin for number, pin in driven}


def mode(name: str, *ranges: tuple[str, int, int, int]) -> Leaves:
    keys = ("channel", "from_us", "to_us")
    return {
        f"modes.{name}.{slot}.{key}": value
        for slot, *numbers in ranges
        for key, value in zip(keys, numbers, strict=True)
    }


def element(name: str, column: int, row: int, shown: bool = True) -> Leaves:
    stem = f"osd.elements.{name}"
    return {f"{stem}.column": column, f"{stem}.row": row, f"{stem}.shown": shown}


def mixer(**rows: tuple[float, float, float, float]) -> Leaves:
    keys = ("throttle", "roll", "pitch", "yaw")
    return {
        f"mixer.{row.removeprefix('m')}.{key}": factor
        for row, factors in rows.items()
        for key, factor in zip(keys, factors, strict=True)
    }


JOBS = [
    (
        ports(UART4="", UART6="gnss displayport"),
        ports(UART4="displayport", UART6="gnss"),
        ["displayport: moved from UART6 to UART4; gnss stays on UART6"],
    ),
    (ports(UART4="gnss"), ports(UART4=""), ["gnss: moved off UART4; nothing else took it"]),
    (ports(UART6="gnss"), ports(UART6="gnss displayport"), ["displayport: appeared on UART6, beside gnss"]),
    (
        ports(UART4="gnss", UART6="displayport"),
        ports(UART4="displayport", UART6="gnss"),
        [
            "displayport: moved from UART6 to UART4, in place of gnss",
            "gnss: moved from UART4 to UART6, in place of displayport",
        ],
    ),
    (
        ports(UART1="msp", UART2=""),
        ports(UART1="msp", UART2="msp"),
        ["msp: appeared on UART2; still on UART1"],
    ),
    (ports(UART1="msp", UART2="msp"), ports(UART1="msp", UART2=""), ["msp: left UART2; still on UART1"]),
    (
        ports(USB="console-link", UART4="gnss"),
        ports(USB="console-link"),
        ["gnss: was on UART4; what UART4 does now is not said"],
    ),
    (
        ports(USB="console-link"),
        ports(USB="console-link", UART4=""),
        ["port UART4: jobs not said → none"],
    ),
    (
        {"ports.UART1.rate_baud": 115200, "ports.UART1.inverted": False},
        {"ports.UART1.rate_baud": 57600, "ports.UART1.inverted": True},
        ["port UART1: inverted no → yes, rate 115200 → 57600 baud"],
    ),
    (
        {"ports.UART1.rates_baud.gnss": 9600},
        {"ports.UART1.rates_baud.gnss": 115200},
        ["port UART1: rate for gnss 9600 → 115200 baud"],
    ),
]

OUTPUTS = [
    (motors("PB0", "PB1", "PC8"), motors("PB0", "PB1", "PC9"), ["motor 3: pin PC8 → PC9"]),
    (
        motors("PB0", "PB1", "PC8"),
        motors("PB0", "PC8", "PB1"),
        ["motors 2 and 3: swapped their pins PB1 and PC8"],
    ),
    (
        motors("PB0", "PB1", "PC8"),
        motors("PB0", "PB1", "PC8", numbers="132"),
        ["motor 2: output 2 → 3, still on pin PB1", "motor 3: output 3 → 2, still on pin PC8"],
    ),
    (
        motors("PB0", "PB1", "PC8"),
        motors("PB1", "PC8", "PB0"),
        ["motors 1, 2 and 3: changed pins among themselves: 1 PB0 → PB1, 2 PB1 → PC8, 3 PC8 → PB0"],
    ),
    # the firmware writes the order as motors of outputs, not as pins of motors
    (
        motors("PB0", "PB1"),
        {"outputs.1.motor": 2, "outputs.1.pin": "PB0", "outputs.2.motor": 1, "outputs.2.pin": "PB1"},
        ["motors 1 and 2: swapped their pins PB0 and PB1"],
    ),
    (motors("PB0"), motors("PB0", "PB1"), ["motor 2: new: output 2, pin PB1"]),
    (motors("PB0", "PB1"), motors("PB0"), ["motor 2: gone: output 2, pin PB1"]),
    (motors("PB0"), motors("none"), ["motor 1: pin PB0 → none"]),
    (
        {"outputs.5.use": "servo", "outputs.5.pin": "PA8"},
        {"outputs.5.use": "led-strip", "outputs.5.pin": "PA8"},
        ["output 5: use servo → led-strip"],
    ),
    (
        {"outputs.5.motor": 5, "outputs.5.pin": "PA8"},
        {"outputs.5.use": "led-strip", "outputs.5.pin": "PA9"},
        ["output 5: motor 5 → led-strip, pin PA8 → PA9"],
    ),
    # moved to an output that did not exist before, which is told once
    (
        {"outputs.1.motor": 1, "outputs.1.pin": "PB0"},
        {"outputs.9.motor": 1, "outputs.9.pin": "PC9"},
        ["motor 1: pin PB0 → PC9 (output 1 → 9)"],
    ),
    # nobody says which motor: the output is all there is to name
    ({"outputs.3.pin": "PC8"}, {"outputs.3.pin": "PC9"}, ["output 3: pin PC8 → PC9"]),
    (
        mixer(m1=(1, -1, 1, 1), m2=(1, 1, 1, -1)),
        mixer(m1=(1, 1, 1, -1), m2=(1, -1, 1, 1)),
        ["motors 1 and 2: swapped their mixer rows"],
    ),
    (mixer(m1=(1, -1, 1, 1)), mixer(m1=(1, -1, -1, 0.9)), ["motor 1 mixer row: pitch 1 → -1, yaw 1 → 0.9"]),
    (
        mixer(m1=(1, -1, 1, 1)),
        mixer(m1=(1, -1, 1, 1), m2=(1, 1, 1, -1)),
        ["motor 2 mixer row: new: throttle 1, roll 1, pitch 1, yaw -1"],
    ),
]

MODES = [
    (
        mode("arm", ("0", 5, 1700, 2100)),
        mode("arm", ("0", 6, 1300, 2100)),
        ["arm: channel 5, 1700–2100 → channel 6, 1300–2100 µs"],
    ),
    (
        mode("arm", ("0", 5, 1700, 2100)),
        mode("arm", ("0", 5, 1300, 2100)),
        ["arm: channel 5, 1700–2100 → 1300–2100 µs"],
    ),
    (
        mode("arm", ("0", 5, 1700, 2100)),
        mode("arm", ("0", 6, 1700, 2100)),
        ["arm: channel 5 → 6, 1700–2100 µs"],
    ),
    (
        mode("beeper", ("3", 8, 1700, 2100)) | mode("arm", ("0", 5, 1700, 2100)),
        mode("arm", ("0", 5, 1700, 2100)),
        ["beeper: was channel 8, 1700–2100 µs; no switch now"],
    ),
    (
        mode("arm", ("0", 5, 1700, 2100)),
        mode("arm", ("0", 5, 1700, 2100), ("4", 7, 900, 1200)),
        ["arm: new: channel 7, 900–1200 µs"],
    ),
    # the same ranges in other rows of the firmware's table
    (
        mode("arm", ("0", 5, 1700, 2100), ("1", 7, 900, 1200)),
        mode("arm", ("3", 5, 1700, 2100), ("0", 7, 900, 1200)),
        [],
    ),
]

ELEMENTS = [
    (
        element("warnings", 9, 10),
        element("warnings", 20, 13),
        ["OSD warnings: moved: column 9, row 10 → column 20, row 13"],
    ),
    (
        element("warnings", 9, 10),
        element("warnings", 9, 11),
        ["OSD warnings: moved: row 10 → 11 in column 9"],
    ),
    (
        element("craft_name", 1, 2),
        element("craft_name", 1, 2, shown=False),
        ["OSD craft name: hidden, was at column 1, row 2"],
    ),
    (
        element("craft_name", 1, 2, shown=False),
        element("craft_name", 3, 2),
        ["OSD craft name: shown at column 3, row 2"],
    ),
    (
        element("craft_name", 1, 2, shown=False),
        element("craft_name", 3, 2, shown=False),
        ["OSD craft name: moved while hidden: column 1 → 3 in row 2"],
    ),
    (
        element("speed", 1, 1),
        element("speed", 1, 1) | element("current", 4, 4),
        ["OSD current: new: shown at column 4, row 4"],
    ),
]

PROFILES = [
    (
        {f"profiles.1.{name}": 40 for name in ("pitch_gain", "roll_gain", "yaw_gain", "yaw_damp", "lift")},
        {f"profiles.1.{name}": 45 for name in ("pitch_gain", "roll_gain", "yaw_gain", "yaw_damp", "lift")},
        ["profile 1: 5 values changed: lift 40 → 45, pitch gain 40 → 45, roll gain 40 → 45 and 2 more"],
    ),
    ({"profiles.2.roll_gain": 40}, {"profiles.2.roll_gain": 41.5}, ["profile 2: roll gain 40 → 41.5"]),
    (
        {"profiles.1.roll": 40, "profiles.1.p": 1},
        {"profiles.1.roll": 41, "profiles.1.q": 1},
        ["profile 1: 1 value changed, 1 no longer said, 1 new: roll 40 → 41, q not said → 1, p 1 → not said"],
    ),
    (
        {"rates.1.roll": 1},
        {"rates.1.roll": 1, "rates.2.roll": 1, "rates.2.yaw": 2},
        ["rates 2: 2 values new: roll 1, yaw 2"],
    ),
    ({"profiles.active": 1}, {"profiles.active": 2}, ["profiles: active 1 → 2"]),
]

SINGLES = [
    ({"battery.cell_warn_v": 3.5}, {"battery.cell_warn_v": 3.6}, ["battery: warns at 3.5 → 3.6 V per cell"]),
    ({"battery.capacity_mah": 1300}, {"battery.capacity_mah": 1500}, ["battery: capacity 1300 → 1500 mAh"]),
    ({"battery.cells": 0}, {"battery.cells": 6}, ["battery: cells detect → 6"]),
    ({"motors.idle_percent": 5.5}, {"motors.idle_percent": 4}, ["motors: idle 5.5 → 4 %"]),
    ({"failsafe.delay_s": 1}, {"failsafe.delay_s": 0.4}, ["failsafe: waits 1 → 0.4 s"]),
    (
        {"failsafe.throttle_us": 1000},
        {"failsafe.throttle_us": 1300},
        ["failsafe: holds throttle at 1000 → 1300 µs"],
    ),
    (
        {"failsafe.action": "drop"},
        {"failsafe.action": "return_home"},
        ["failsafe: action drop → return home"],
    ),
    ({"arming.angle_limit_deg": 25}, {"arming.angle_limit_deg": 60}, ["arming: angle limit 25 → 60°"]),
    ({"arming.checks": True}, {"arming.checks": False}, ["arming: checks on → off"]),
    ({"video.power_mw": 25}, {"video.power_mw": 400}, ["video: power 25 → 400 mW"]),
    (
        {"video.band": "A", "video.channel": 1, "video.frequency_mhz": 5865},
        {"video.band": "R", "video.channel": 2, "video.frequency_mhz": 5695},
        ["video: band A → R, channel 1 → 2, frequency 5865 → 5695 MHz"],
    ),
    ({"sensors.barometer": True}, {"sensors.barometer": False}, ["barometer: on → off"]),
    (
        {"sensors.alignment.roll_deg": 0, "sensors.alignment.yaw_deg": 0},
        {"sensors.alignment.roll_deg": 180, "sensors.alignment.yaw_deg": 90},
        ["sensor alignment: roll 0 → 180°, yaw 0 → 90°"],
    ),
    (
        {"firmware.name": "plover", "firmware.version": "4.1.2", "firmware.board": "Reed-405"},
        {"firmware.name": "plover", "firmware.version": "4.2.0", "firmware.board": "Sedge-743"},
        ["board: Reed-405 → Sedge-743", "firmware: version 4.1.2 → 4.2.0"],
    ),
    (
        {"filters.gyro_lowpass_hz.1": 250},
        {"filters.gyro_lowpass_hz.1": 300},
        ["filters: gyro lowpass 1: 250 → 300 Hz"],
    ),
    (
        {"loop.gyro_hz": 8000, "loop.control_hz": 8000},
        {"loop.gyro_hz": 4000, "loop.control_hz": 2000},
        ["loop: control 8000 → 2000 Hz, gyro 8000 → 4000 Hz"],
    ),
    ({"receiver.link": "crsf"}, {"receiver.link": "sbus"}, ["receiver: link crsf → sbus"]),
    ({"pins.buzzer": "PC13"}, {"pins.buzzer": "PC14"}, ["buzzer pin: PC13 → PC14"]),
    (
        {"battery.cells": 6, "battery.capacity_mah": 1300},
        {"battery.cells": 6},
        ["battery: capacity 1300 mAh → not said"],
    ),
    (
        {"identity.craft_name": "otter"},
        {"identity.craft_name": "otter", "gnss.protocol": "ubx", "gnss.update_hz": 10},
        ["gnss: not said before; now protocol ubx, updates 10 Hz"],
    ),
    (
        {"pin_setup.PB0.timer": "T3", "pin_setup.PB1.timer": "T3", "pin_setup.PB1.dma": 2},
        {"pin_setup.PB0.timer": "T3"},
        ["pin PB1: no longer said; was dma 2, timer T3"],
    ),
    ({"kiln": 1}, {"kiln": 2}, ["kiln: 1 → 2"]),
    ({"kiln.deep.down.there_v": 1}, {"kiln.deep.down.there_v": 2}, ["kiln: deep down there 1 → 2 V"]),
]


@pytest.mark.parametrize(
    ("before", "after", "lines"), [*JOBS, *OUTPUTS, *MODES, *ELEMENTS, *PROFILES, *SINGLES]
)
def test_a_change_is_told_as_a_builder_would(before: Leaves, after: Leaves, lines: list[str]) -> None:
    assert said(before, after) == lines


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("battery.capacity_mah", "16 mAh"),
        ("filters.gyro_lowpass_hz.1", "16 Hz"),
        ("ports.UART1.rates_baud.gnss", "16 baud"),
        ("osd.elements.used_mah.column", "16"),
    ],
)
def test_a_unit_is_that_of_the_number(path: str, words: str) -> None:
    assert with_unit(parse(path), 16) == words
