"""Every way in which real dumps are hard to read, each in a firmware's hand, and the way back.

A difficulty has a line that shows it and the words by which a dialect says it. README.md lists both
("What a dialect can say"). When the table here has changed:

    RENEW_SNAPSHOTS=1 pytest tests/dialect/test_difficulties.py; git diff README.md
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

import pytest

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import named_dialect
from cfgaudit.dialect.write import write
from cfgaudit.dump.capture import cleaned, without_echo
from cfgaudit.dump.text import decode
from cfgaudit.model.model import Unknown
from cfgaudit.model.path import dotted, parse
from cfgaudit.model.value import Value
from tests.dialect.small import compiled, typed
from tests.house.checkout import ROOT

README = ROOT / "README.md"
SCHEMA = resources.files("cfgaudit.dialect").joinpath("dialect.schema.json")

# What dumps are known to do. Each needs a sample below, and a word in the dialect's reference.
LISTED = (
    "indices from 0",
    "indices from 1",
    "masks in decimal",
    "masks in hex",
    "lists of words",
    "several cells in one row",
    "scaled numbers",
    "on and off in several spellings",
    "negated flags",
    "blanks, quotes and inline remarks",
    "scopes by section",
    "scopes by selector line",
    "a last selector that says which profile is active",
    "packed fields",
    "packed fields of bits that are not adjacent",
    "pins in several spellings",
    "outputs without a pin",
    "one rate column for each kind of job",
    "port numbers of the firmware's own",
    "offset numbers",
    "numbers in steps",
    "a variable number of trailing cells",
    "settings of a pin apart from the output that uses it",
    "headers",
    "full dumps",
    "dumps of changes only",
    "terminal captures",
    "renamed settings",
    "removed settings",
    "defaults that moved",
    "settings written another way in another version",
    "repeated lines",
)


@dataclass(frozen=True)
class Sample:
    """A difficulty in the hand of a firmware: what its lines give, and the way back."""

    shows: str  # the line that shows it
    says: tuple[str, ...]  # the words of the dialect that say it
    dialect: str  # one that ships, by name, or the YAML of a small one
    dump: tuple[str, ...]
    gives: Mapping[str, Value]  # all that the dump says, or in a dump of changes some of it
    wanted: Mapping[str, Value]
    lines: tuple[str, ...]  # what brings it to what is wanted
    back: tuple[str, ...]  # the lines as they stood, or the defaults that held
    unknown: tuple[str, ...] = ()  # paths that the dump says nothing of
    lost: tuple[str, ...] = ()  # lines that this firmware does not have
    repeats: int = 0
    board: Mapping[int, str] = field(default_factory=dict)
    end: str = "\n"
    notes: tuple[str, ...] = ()  # parts of what is said of the text


PLOVER = "~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / everything"
LATER_PLOVER = PLOVER.replace("4.1.2", "4.2")
DUNLIN = "; dunlin 2.3.1 on Sedge-743 with STM32H743VIT6"
AVOCET = "# avocet 1.4.2, Mallow-474, STM32G474RET6"

RATES = """
dialect: wren
family: console
header: wren {firmware.version}
forms:
  - line: "serial {id} {jobs} {msp} {gnss} {telemetry}"
    cells:
      id: {words: {"0": UART1, "1": UART2}}
      jobs: {bits: {0: msp, 1: gnss, 2: telemetry}}
      msp: {decimal: 100}
      gnss: {decimal: 100}
      telemetry: {decimal: 100}
    key: [id]
    gives:
      "ports.{id}.functions": jobs
      "ports.{id}.rates_baud.msp": msp
      "ports.{id}.rates_baud.gnss": gnss
      "ports.{id}.rates_baud.telemetry": telemetry
"""

SIZES = """
dialect: wren
family: console
header: wren {firmware.version}
settings:
  rows: {is: osd.rows, integer: , until: "2.0"}
  canvas-rows: {is: osd.rows, integer: , since: "2.0"}
"""

STEPS = """
dialect: wren
family: console
header: wren {firmware.version}
forms:
  - line: "lever {slot} {mode} {channel} {low} {high}"
    cells:
      slot: integer
      mode: {words: {"0": none, "1": arm, "5": beeper}}
      channel: {integer: {offset: 5}}
      low: {integer: {offset: 900, by: 25}, range: [900, 2100]}
      high: {integer: {offset: 900, by: 25}, range: [900, 2100]}
    key: [slot]
    gives:
      "modes.{mode}.{slot}.channel": channel
      "modes.{mode}.{slot}.from_us": low
      "modes.{mode}.{slot}.to_us": high
"""

SAMPLES: dict[str, Sample] = {
    "indices from 0": Sample(
        "PAD0,B06,ROTOR1",
        ("n: {integer: {offset: 1}, range: [1, 10]}",),
        "avocet",
        (AVOCET, "PAD0,B06,ROTOR1", "PAD1,B07,ROTOR2"),
        {
            "outputs.1.pin": "PB6",
            "outputs.1.motor": 1,
            "outputs.2.pin": "PB7",
            "outputs.2.motor": 2,
        },
        {"outputs.2.motor": 4},
        ("PAD1,B07,ROTOR4",),
        ("PAD1,B07,ROTOR2",),
    ),
    "indices from 1": Sample(
        "out 1 turns m1 pin B6",
        ("n: {integer: , range: [1, 8]}",),
        "plover",
        (PLOVER, "out 1 turns m1 pin B6"),
        {"outputs.1.motor": 1, "outputs.1.pin": "PB6"},
        {"outputs.1.motor": 2, "outputs.1.pin": "PC12"},
        ("out 1 turns m2 pin C12",),
        ("out 1 turns m1 pin B6",),
    ),
    "masks in decimal": Sample(
        "LINK3_WORK,288",
        ("bits:", "written: decimal"),
        "avocet",
        (AVOCET, "LINK3_WORK,288"),
        {"ports.UART4.functions": ("gnss", "displayport")},
        {"ports.UART4.functions": ("gnss",)},
        ("LINK3_WORK,32",),
        ("LINK3_WORK,288",),
        board={3: "UART4"},
    ),
    "masks in hex": Sample(
        "link u4 does 0x90 at 115200",
        ("bits:", "written: hex"),
        "plover",
        (PLOVER, "link u4 does 0x90 at 115200"),
        {"ports.UART4.functions": ("gnss", "displayport"), "ports.UART4.rate_baud": 115200},
        {"ports.UART4.functions": ("displayport",)},
        ("link u4 does 0x80 at 115200",),
        ("link u4 does 0x90 at 115200",),
    ),
    "lists of words": Sample(
        "carries = position picture-text",
        ("list:", "empty: idle"),
        "dunlin",
        (DUNLIN, "[link E]", "carries = position picture-text", "[link F]", "carries = idle"),
        {"ports.UART4.functions": ("gnss", "displayport"), "ports.UART5.functions": ()},
        {"ports.UART4.functions": (), "ports.UART5.functions": ("gnss",)},
        ("[link E]", "carries = idle", "[link F]", "carries = position"),
        ("[link E]", "carries = position picture-text", "[link F]", "carries = idle"),
    ),
    "several cells in one row": Sample(
        "blend m1 lift 100 lean -50 nose -87 swing 100",
        ('line: "blend m{n} lift {lift} lean {lean} nose {nose} swing {swing}"',),
        "plover",
        (PLOVER, "blend m1 lift 100 lean -50 nose -87 swing 100"),
        {"mixer.1.throttle": 1.0, "mixer.1.roll": -0.5, "mixer.1.pitch": -0.87, "mixer.1.yaw": 1.0},
        {"mixer.1.roll": 0.5, "mixer.1.yaw": -1.0},
        ("blend m1 lift 100 lean 50 nose -87 swing -100",),
        ("blend m1 lift 100 lean -50 nose -87 swing 100",),
    ),
    "scaled numbers": Sample(
        "volts.warn := 330",
        ("decimal: 0.01",),
        "plover",
        (PLOVER, "volts.warn := 330"),
        {"battery.cell_warn_v": 3.3},
        {"battery.cell_warn_v": 3.55},
        ("volts.warn := 355",),
        ("volts.warn := 330",),
    ),
    "on and off in several spellings": Sample(
        "lean = y",
        ("flag: {on: [yes, y], off: [no, n]}",),
        "dunlin",
        (DUNLIN, "[senses]", "lean = y", "air = no", "compass = n"),
        {"sensors.accelerometer": True, "sensors.barometer": False, "sensors.magnetometer": False},
        {"sensors.barometer": True},
        ("[senses]", "air = yes"),
        ("[senses]", "air = no"),
    ),
    "negated flags": Sample(
        "upright = no",
        ("flag: {on: [no, n], off: [yes, y]}",),
        "dunlin",
        (DUNLIN, "[link B]", "upright = no"),
        {"ports.UART1.inverted": True},
        {"ports.UART1.inverted": False},
        ("[link B]", "upright = yes"),
        ("[link B]", "upright = no"),
    ),
    "blanks, quotes and inline remarks": Sample(
        'craft.called := "wet ~ otter"   ~ the second of them',
        ("quoted: true",),
        "plover",
        (PLOVER, 'craft.called := "wet ~ otter"   ~ the second of them', 'craft.note := "# ; ~"'),
        {"identity.craft_name": "wet ~ otter"},
        {"identity.craft_name": "otter"},
        ('craft.called := "otter"',),
        ('craft.called := "wet ~ otter"',),
    ),
    "scopes by section": Sample(
        "[tuning 2]",
        ('opens: "tuning {n}"',),
        "dunlin",
        (DUNLIN, "[tuning 1]", "level-push = 50", "[tuning 2]", "level-push = 60"),
        {"profiles.1.level_strength": 50, "profiles.2.level_strength": 60},
        {"profiles.2.level_strength": 65},
        ("[tuning 2]", "level-push = 65"),
        ("[tuning 2]", "level-push = 60"),
    ),
    "scopes by selector line": Sample(
        "feel 2",
        ('opens: "feel {n}"',),
        "plover",
        (PLOVER, "feel 1", "rate.roll := 600", "feel 2", "rate.roll := 480"),
        {"rates.1.roll_rate": 600, "rates.2.roll_rate": 480},
        {"rates.2.roll_rate": 500},
        ("feel 2", "rate.roll := 500"),
        ("feel 2", "rate.roll := 480"),
    ),
    "a last selector that says which profile is active": Sample(
        "tune 1",
        ("gives: {\"profiles.active\": n}",),
        "plover",
        (PLOVER, "tune 1", "grip.roll := 46", "tune 2", "grip.roll := 50", "tune 1"),
        {"profiles.active": 1, "profiles.1.roll_grip": 46, "profiles.2.roll_grip": 50},
        {"profiles.2.roll_grip": 55},
        ("tune 2", "grip.roll := 55", "tune 1"),
        ("tune 2", "grip.roll := 50", "tune 1"),
    ),
    "packed fields": Sample(
        "draw pack at 67",
        ("packed:", "shown: {bits: 0, flag: }", "row: {bits: 1-5}", "column: {bits: 6-11}"),
        "plover",
        (PLOVER, "draw pack at 67"),
        {
            "osd.elements.battery_voltage.column": 1,
            "osd.elements.battery_voltage.row": 1,
            "osd.elements.battery_voltage.shown": True,
        },
        {"osd.elements.battery_voltage.row": 2, "osd.elements.battery_voltage.shown": False},
        ("draw pack at 68",),
        ("draw pack at 67",),
    ),
    "packed fields of bits that are not adjacent": Sample(
        "spot.pack-volts = 1582",
        ('column: {bits: "5-7,10-12"}',),
        "dunlin",
        (DUNLIN, "[screen]", "spot.pack-volts = 1582"),
        {
            "osd.elements.battery_voltage.column": 9,
            "osd.elements.battery_voltage.row": 14,
            "osd.elements.battery_voltage.shown": True,
        },
        {"osd.elements.battery_voltage.column": 22},
        ("[screen]", "spot.pack-volts = 2766"),
        ("[screen]", "spot.pack-volts = 1582"),
    ),
    "pins in several spellings": Sample(
        "out 3 turns m3 pin PC_8",
        ('pin: {pin: "{port}{number}", none: "-", after: restart}',),
        "plover",
        (
            PLOVER,
            "out 1 turns m1 pin PB06",
            "out 2 turns m2 pin pb7",
            "out 3 turns m3 pin PC_8",
            "out 4 turns m4 pin B0",
        ),
        {
            "outputs.1.motor": 1,
            "outputs.1.pin": "PB6",
            "outputs.2.motor": 2,
            "outputs.2.pin": "PB7",
            "outputs.3.motor": 3,
            "outputs.3.pin": "PC8",
            "outputs.4.motor": 4,
            "outputs.4.pin": "PB0",
        },
        {"outputs.3.motor": 4, "outputs.4.motor": 3, "outputs.4.pin": "PA15"},
        ("out 3 turns m4 pin PC_8", "out 4 turns m3 pin A15"),
        ("out 3 turns m3 pin PC_8", "out 4 turns m4 pin B0"),
    ),
    "outputs without a pin": Sample(
        "at = unwired",
        ("none: unwired",),
        "dunlin",
        (DUNLIN, "[output 6]", "at = unwired", "motor = 6"),
        {"outputs.6.pin": "none", "outputs.6.motor": 6},
        {"outputs.6.pin": "PB6"},
        ("[output 6]", "at = PB06"),
        ("[output 6]", "at = unwired"),
    ),
    "one rate column for each kind of job": Sample(
        "serial 1 2 1152 384 96",
        (
            'line: "serial {id} {jobs} {msp} {gnss} {telemetry}"',
            '"ports.{id}.rates_baud.gnss": gnss',
        ),
        RATES,
        ("# wren 1.0", "serial 1 2 1152 384 96"),
        {
            "ports.UART2.functions": ("gnss",),
            "ports.UART2.rates_baud.msp": 115200,
            "ports.UART2.rates_baud.gnss": 38400,
            "ports.UART2.rates_baud.telemetry": 9600,
        },
        {"ports.UART2.rates_baud.gnss": 57600},
        ("serial 1 2 1152 576 96",),
        ("serial 1 2 1152 384 96",),
    ),
    "port numbers of the firmware's own": Sample(
        "LINK3_PACE,1152",
        ("id: port",),
        "avocet",
        (AVOCET, "LINK3_PACE,1152", "LINK5_PACE,96"),
        {"ports.UART4.rate_baud": 115200, "ports.PORT5.rate_baud": 9600},
        {"ports.UART4.rate_baud": 57600},
        ("LINK3_PACE,576",),
        ("LINK3_PACE,1152",),
        board={3: "UART4"},
    ),
    "offset numbers": Sample(
        "acts = arm 0 1700 2100",
        ("knob: {integer: {offset: 5}, range: [5, 18]}",),
        "dunlin",
        (DUNLIN, "[range 0]", "acts = arm 0 1700 2100"),
        {"modes.arm.0.channel": 5, "modes.arm.0.from_us": 1700, "modes.arm.0.to_us": 2100},
        {"modes.arm.0.channel": 8},
        ("[range 0]", "acts = arm 3 1700 2100"),
        ("[range 0]", "acts = arm 0 1700 2100"),
    ),
    "numbers in steps": Sample(
        "lever 0 1 0 32 48",
        ("low: {integer: {offset: 900, by: 25}, range: [900, 2100]}",),
        STEPS,
        ("# wren 1.9", "lever 0 1 0 32 48", "lever 1 0 0 0 0"),
        {"modes.arm.0.channel": 5, "modes.arm.0.from_us": 1700, "modes.arm.0.to_us": 2100},
        {"modes.arm.0.from_us": 1500},
        ("lever 0 1 0 24 48",),
        ("lever 0 1 0 32 48",),
    ),
    "a variable number of trailing cells": Sample(
        "FEEL1_LIFT,0,30,45,60,80",
        (
            'line: "FEEL{n}_LIFT,{points...}"',
            'points: {list: {of: {integer: , range: [0, 100]}, separated: ","}}',
        ),
        "avocet",
        (AVOCET, "FEEL1_LIFT,0,30,45,60,80", "FEEL2_LIFT,0,100"),
        {"rates.1.throttle_points": (0, 30, 45, 60, 80), "rates.2.throttle_points": (0, 100)},
        {"rates.1.throttle_points": (0, 100), "rates.2.throttle_points": (0, 30, 100)},
        ("FEEL1_LIFT,0,100", "FEEL2_LIFT,0,30,100"),
        ("FEEL1_LIFT,0,30,45,60,80", "FEEL2_LIFT,0,100"),
    ),
    "settings of a pin apart from the output that uses it": Sample(
        "clock B6 by t4 lane 1 bridge 2 stream 1/0",
        ('"pin_setup.{pin}.timer": timer', '"pin_setup.{pin}.dma": stream'),
        "plover",
        (PLOVER, "out 1 turns m1 pin B6", "clock B6 by t4 lane 1 bridge 2 stream 1/0"),
        {
            "outputs.1.motor": 1,
            "outputs.1.pin": "PB6",
            "pin_setup.PB6.timer": "TIM4",
            "pin_setup.PB6.channel": 1,
            "pin_setup.PB6.alternate": 2,
            "pin_setup.PB6.dma": "1/0",
        },
        {"pin_setup.PB6.dma": "none", "outputs.1.motor": 2},
        ("clock B6 by t4 lane 1 bridge 2 stream -", "out 1 turns m2 pin B6"),
        ("clock B6 by t4 lane 1 bridge 2 stream 1/0", "out 1 turns m1 pin B6"),
    ),
    "headers": Sample(
        PLOVER,
        ('"plover {firmware.version} / {firmware.board} / {firmware.mcu} / {extent}"',),
        "plover",
        (PLOVER, "~ built on 2026-05-18", "pack.cells := 4"),
        {
            "firmware.name": "plover",
            "firmware.version": "4.1.2",
            "firmware.board": "Reed-405",
            "firmware.mcu": "STM32F405RGT6",
            "firmware.built": "2026-05-18",
            "battery.cells": 4,
        },
        {"battery.cells": 6},
        ("pack.cells := 6",),
        ("pack.cells := 4",),
    ),
    "full dumps": Sample(
        "; built 2026-02-17, telling all",
        ("extent: {full: all, changed: differences}",),
        "dunlin",
        (DUNLIN, "; built 2026-02-17, telling all", "[pack]", "cell-low = 350"),
        {"battery.cell_warn_v": 3.5},
        {"battery.cell_warn_v": 3.4},
        ("[pack]", "cell-low = 340"),
        ("[pack]", "cell-low = 350"),
        unknown=("battery.cell_full_v", "ports.UART1.inverted"),
    ),
    "dumps of changes only": Sample(
        "; built 2026-02-17, telling differences",
        ("extent: {full: all, changed: differences}", "default: 4.2", 'factory: ["acts = unused 0 900 900"]'),
        "dunlin",
        (DUNLIN, "; built 2026-02-17, telling differences", "[pack]", "cell-low = 340", "[link B]"),
        {
            "battery.cell_warn_v": 3.4,
            "battery.cell_full_v": 4.2,
            "ports.UART1.inverted": False,
            "ports.UART1.rates_baud.gnss": 38400,
        },
        {"battery.cell_warn_v": 3.5, "battery.cell_full_v": 4.3, "ports.UART1.rates_baud.gnss": 57600},
        ("[link B]", "rate.position = 57600", "[pack]", "cell-low = 350", "cell-full = 430"),
        ("[link B]", "rate.position = 38400", "[pack]", "cell-low = 340", "cell-full = 420"),
        unknown=("ports.UART1.functions", "pin_setup.PB6.timer"),
    ),
    "terminal captures": Sample(
        "\ufeffplover> show everything",
        ("dump_with: show everything",),
        "plover",
        (
            "\ufeffplover> show everything",
            f"\x1b[32m{PLOVER}\x1b[0m",
            "link u4 does \x1b[1m0x80\x1b[0m at 115200",
            "volts.warn := 350",
            "plover> show everything",
            "link u1 does 0x",
        ),
        {
            "ports.UART4.functions": ("displayport",),
            "ports.UART4.rate_baud": 115200,
            "battery.cell_warn_v": 3.5,
        },
        {"ports.UART4.rate_baud": 230400},
        ("link u4 does 0x80 at 230400",),
        ("link u4 does 0x80 at 115200",),
        lost=("link u1 does 0x",),
        end="\r\n",
        notes=("a byte-order mark", "colour", "prompt", "cut off"),
    ),
    "renamed settings": Sample(
        "volts.low := 350",
        ("renamed:", '"4.2": {volts.warn: volts.low, stick.quiet: stick.dead}'),
        "plover",
        (LATER_PLOVER, "volts.low := 350", "volts.warn := 330"),
        {"battery.cell_warn_v": 3.5},
        {"battery.cell_warn_v": 3.6},
        ("volts.low := 360",),
        ("volts.low := 350",),
        lost=("volts.warn := 330",),
    ),
    "removed settings": Sample(
        "rows = 16",
        ('until: "2.0"', 'since: "2.0"'),
        SIZES,
        ("# wren 2.0.1", "rows = 16", "canvas-rows = 20"),
        {"osd.rows": 20},
        {"osd.rows": 18},
        ("canvas-rows = 18",),
        ("canvas-rows = 20",),
        lost=("rows = 16",),
    ),
    "defaults that moved": Sample(
        "; dunlin 2.4 on Sedge-743 with STM32H743VIT6",
        ("moved:", '"2.4": {patience: 0.8}'),
        "dunlin",
        (
            "; dunlin 2.4 on Sedge-743 with STM32H743VIT6",
            "; built 2026-08-30, telling differences",
            "[lost-link]",
            "then = sink",
        ),
        {"failsafe.action": "land", "failsafe.delay_s": 0.8},
        {"failsafe.delay_s": 0.5},
        ("[lost-link]", "patience = 5"),
        ("[lost-link]", "patience = 8"),
    ),
    "settings written another way in another version": Sample(
        "cell-low = 3450",
        (
            "cell-low:",
            "- {is: battery.cell_warn_v, decimal: 0.01,",
            "- {is: battery.cell_warn_v, decimal: 0.001,",
            'until: "3.0"',
            'since: "3.0"',
        ),
        "dunlin",
        (DUNLIN.replace("2.3.1", "3.0"), "[pack]", "cell-low = 3450"),
        {"battery.cell_warn_v": 3.45},
        {"battery.cell_warn_v": 3.3},
        ("[pack]", "cell-low = 3300"),
        ("[pack]", "cell-low = 3450"),
    ),
    "repeated lines": Sample(
        "link u4 does 0x80 at 230400",
        ("key: [id]",),
        "plover",
        (PLOVER, "link u4 does 0x10 at 115200", "volts.warn := 350", "link u4 does 0x80 at 230400"),
        {
            "ports.UART4.functions": ("displayport",),
            "ports.UART4.rate_baud": 230400,
            "battery.cell_warn_v": 3.5,
        },
        {"ports.UART4.functions": ()},
        ("link u4 does 0x0 at 230400",),
        ("link u4 does 0x80 at 230400",),
        repeats=1,
    ),
}  # fmt: skip

each = pytest.mark.parametrize("name", SAMPLES)


@cache
def dialect_of(name: str) -> Dialect:
    told = SAMPLES[name].dialect
    return compiled(told) if "\n" in told else named_dialect(told)


def yaml_of(name: str) -> str:
    """The text of a sample's dialect, with one blank between its words."""
    told = SAMPLES[name].dialect
    text = told if "\n" in told else (ROOT / "grammars" / f"{told}.yaml").read_text("utf-8")
    return " ".join(text.split())


def read(name: str) -> Reading:
    """A sample's dump from its bytes, as a file is read."""
    sample = SAMPLES[name]
    source = cleaned(decode(sample.end.join(sample.dump).encode() + b"\n" * (not sample.lost), "dump.txt"))
    dialect = dialect_of(name).on_board(sample.board)
    return read_dump(without_echo(source, dialect.dump_with), as_dialect(source, dialect))


def told(reading: Reading, firmware: bool = False) -> dict[str, Value]:
    """What a reading says, without what its dialect declares of the firmware itself."""
    return {
        dotted(path): leaf.value
        for path, leaf in reading.model.leaves.items()
        if path[0] not in ("limits", *["firmware"] * (not firmware)) and path[-1] != "width"
    }


def at(values: Mapping[str, Value]) -> dict[tuple[str, ...], Value]:
    return {parse(path): value for path, value in values.items()}


@each
def test_its_lines_say_what_they_should(name: str) -> None:
    sample, reading = SAMPLES[name], read(name)
    leaves = told(reading, firmware=name == "headers")
    if reading.extent == "changed":
        leaves = {path: value for path, value in leaves.items() if path in sample.gives}
    assert leaves == dict(sample.gives)
    assert [one for one in sample.unknown if reading.model.at(parse(one)) != Unknown(parse(one))] == []
    assert tuple(one.text.strip() for one in reading.unknown) == sample.lost
    assert len(reading.repeats) == sample.repeats
    assert not reading.doubts
    said = " ".join(reading.dump.source.notes)
    assert [part for part in sample.notes if part not in said] == [], said


@each
def test_the_way_back_writes_the_lines_as_they_stood(name: str) -> None:
    sample, reading = SAMPLES[name], read(name)
    before = told(reading)
    made = write(reading, at(sample.wanted))
    assert (made.lines, made.undo, made.cannot) == (sample.lines, sample.back, ())
    after = pasted(reading, typed(*made.lines))
    assert told(after) == before | dict(sample.wanted)
    back = write(after, at({path: before[path] for path in sample.wanted}))
    assert (back.lines, back.undo, back.cannot) == (sample.back, sample.lines, ())
    assert told(pasted(after, typed(*back.lines))) == before
    stood = [" ".join(one.statement.text.split()) for one in reading.entries]
    assert [line for line in sample.back if not any(one.startswith(line) for one in stood)] == []


# The reference


def test_every_difficulty_has_a_sample() -> None:
    assert tuple(SAMPLES) == LISTED


@each
def test_its_sample_is_told_as_it_is(name: str) -> None:
    sample = SAMPLES[name]
    assert sample.shows in sample.dump
    text = yaml_of(name)
    assert [words for words in sample.says if words not in text] == []


def parts(schema: Any) -> list[Mapping[str, Any]]:
    """Every part of the schema that has a description."""
    inner = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    own = [schema] if isinstance(schema, dict) and isinstance(schema.get("description"), str) else []
    return own + [part for one in inner for part in parts(one)]


def test_the_schema_says_what_each_difficulty_is_said_with() -> None:
    meant: list[str] = []
    for part in parts(json.loads(SCHEMA.read_text("utf-8"))):
        for found in re.findall(r" Meant for: ([^.]+)\.", part["description"]):
            assert part.get("examples"), part["description"]
            meant += found.split("; ")
    assert sorted(set(meant)) == sorted(LISTED)


def table() -> str:
    """The table of the README."""
    rows = ["| dumps have | such as | a dialect says |", "|---|---|---|"]
    for name, sample in SAMPLES.items():
        shown = sample.shows.replace("\ufeff", "")
        says = ", ".join(f"`{words.removesuffix(':')}`" for words in sample.says)
        rows.append(f"| {name} | `{shown}` | {says} |")
    return "\n".join(rows) + "\n"


def test_the_readme_lists_every_difficulty() -> None:
    text = README.read_text("utf-8")
    found = re.search(r"\| dumps have \|.*\n(?:\|.*\n)+", text)
    assert found, "README.md has no table of what a dialect can say"
    if found[0] != table() and os.environ.get("RENEW_SNAPSHOTS"):
        README.write_text(text.replace(found[0], table()), "utf-8")
        pytest.fail("README.md was renewed: read the difference, then run again without RENEW_SNAPSHOTS")
    assert found[0] == table()
