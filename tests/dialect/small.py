"""Two small firmwares that between them write in every way a dialect can describe."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dump.text import Text
from cfgaudit.model.path import dotted, parse
from cfgaudit.model.placed import Placed, read_yaml
from cfgaudit.model.value import Value

TEAL = """
dialect: teal
title: a small console firmware
family: console
versions: ">=1.0 <2.0"
header: "teal {firmware.version} on {firmware.board}, {extent}"
extent: {full: [all, whole], changed: some}
dump_with: tell
keep_with: hold
restart_with: again
remark: "~"
assignment: "put {name} := {value}"
constants:
  limits.ports_with_jobs: 3
  osd.elements.battery_voltage.width: 6
  osd.elements.warnings.width: 12
forms:
  - line: "line {id} jobs {jobs} pace {rate}"
    key: [id]
    cells:
      id: {words: {l1: UART1, l2: UART2, lusb: USB}}
      jobs: {bits: {0: console-link, 2: receiver, 5: telemetry}, written: hex, after: restart}
      rate: {integer: , range: [1200, 115200]}
    gives: {"ports.{id}.functions": jobs, "ports.{id}.rate_baud": rate}
    factory: ["line l1 jobs 0x4 pace 9600", "line l2 jobs 0x0 pace 9600"]
  - line: "leg {n} spins m{motor} on {pin}"
    key: [n]
    cells: {n: {integer: , range: [1, 8]}, motor: integer, pin: {pin: "{port}{number}", none: [off, none]}}
    gives: {"outputs.{n}.motor": motor, "outputs.{n}.pin": pin}
    factory: ["leg 1 spins m1 on off"]
  - line: "leg {n} serves {use} on {pin}"
    key: [n]
    cells:
      n: integer
      use: {words: {lamp: led-strip, arm: servo}}
      pin: {pin: "{port}{number}", none: [off, none]}
    gives: {"outputs.{n}.use": use, "outputs.{n}.pin": pin}
  - line: "lever {slot} {mode} {channel} {low} {high}"
    key: [slot]
    cells:
      slot: integer
      mode: {words: {idle: none, go: arm, flat: self_level}}
      channel: {integer: {offset: 4}, range: [5, 12]}
      low: integer
      high: integer
    gives:
      "modes.{mode}.{slot}.channel": channel
      "modes.{mode}.{slot}.from_us": low
      "modes.{mode}.{slot}.to_us": high
  - line: "show {element} {spot}"
    cells:
      element: {words: {volts: battery_voltage, alerts: warnings}}
      spot:
        packed:
          column: {bits: "0-3,8-9"}
          row: {bits: 4-7, range: [0, 12]}
          shown: {bits: 10, flag: {on: 0, off: 1}}
        written: decimal
    gives:
      "osd.elements.{element}.column": spot.column
      "osd.elements.{element}.row": spot.row
      "osd.elements.{element}.shown": spot.shown
  - line: "song {name} {notes...}"
    key: [name]
    cells: {name: text, notes: {list: {of: {integer: , range: [0, 99]}, empty: none}}}
settings:
  volts.warn: {is: battery.cell_warn_v, decimal: 0.01, range: [3.0, 4.2], default: 3.5}
  volts.full: {is: battery.cell_full_v, decimal: {by: 1, places: 2}, range: [3.0, 4.5], default: 4.2}
  screen:
    {is: osd.drive, words: {camera: chip, serial: displayport, blank: "off"}, default: chip, after: restart}
  called: {is: identity.craft_name, text: "[^\\"]{0,16}", quoted: true, default: ""}
  pair: {is: receiver.bind, text: "[0-9a-f]{4}", private: true, after: power cycle}
  talks: {list: {of: {words: {a: one, b: two}}, separated: ",", empty: none}, default: [one]}
  seed: {integer: {base: 16}, range: [0, 255], default: 10}
  checks: {is: arming.checks, flag: {on: ["no", n], off: ["yes", y]}, default: true}
  budget: {integer: , range: [10, 90], default: 40, until: "1.3"}
  share: {integer: , range: [10, 90], default: 50, since: "1.3"}
scopes:
  - opens: "tune {n}"
    cells: {n: {integer: , range: [1, 3]}}
    gives: {"profiles.active": n}
    settings:
      grip: {is: "profiles.{n}.grip", integer: , range: [0, 250], default: 40}
      word: {text: , default: plain}
    forms:
      - line: "bend {axis} {points...}"
        key: [axis]
        cells: {axis: {words: {roll: roll, yaw: yaw}}, points: {list: {of: integer}}}
        factory: ["bend roll 0 50 100"]
renamed:
  "1.2": {volts.warn: volts.low}
  "1.4": {volts.low: volts.alarm}
moved:
  "1.4": {volts.alarm: 3.4}
  "1.3": {volts.low: 3.6}
"""

KNOT = """
dialect: knot
family: sectioned
header: ["knot {firmware.version} for {firmware.board}", "{extent} is told"]
extent: {full: everything, changed: little}
remark: ";"
settings:
  craft: {is: identity.craft_name, text: , quoted: true, default: nameless}
  tuning: {is: profiles.active, integer: , default: 1}
scopes:
  - opens: "link {id}"
    cells: {id: {words: {A: USB, B: UART1, C: UART2}}}
    settings:
      carries:
        is: "ports.{id}.functions"
        list: {of: {words: &jobs {desk: console-link, sticks: receiver, gnss: gnss}}, empty: idle}
        default: []
      upright: {is: "ports.{id}.inverted", flag: {on: ["no"], off: ["yes"]}, default: false}
      rest: {words: {high: high, low: low}, default: high}
    forms:
      - line: "rate.{job} = {baud}"
        cells: {job: {words: *jobs}, baud: {integer: , range: [4800, 921600]}}
        gives: {"ports.{id}.rates_baud.{job}": baud}
        factory: ["rate.desk = 115200", "rate.gnss = 38400"]
  - opens: "range {slot}"
    cells: {slot: integer}
    forms:
      - line: "acts = {deed} {knob} {low} {high}"
        key: []
        cells:
          deed: {words: {unused: none, arm: arm, call: beeper}}
          knob: {integer: {offset: 5}}
          low: integer
          high: integer
        gives:
          "modes.{deed}.{slot}.channel": knob
          "modes.{deed}.{slot}.from_us": low
          "modes.{deed}.{slot}.to_us": high
        factory: ["acts = unused 0 900 900"]
  - opens: "pin {pin}"
    cells: {pin: {pin: "P{port}{number:02}"}}
    settings:
      timer: {is: "pin_setup.{pin}.timer", integer: , after: power cycle}
      stream: {is: "pin_setup.{pin}.dma", text: "-|[12]/[0-7]"}
  - opens: screen
    settings:
      size:
        packed: {rows: {bits: 0-5}, columns: {bits: 6-12}}
        gives: {osd.rows: value.rows, osd.columns: value.columns}
      text-by: {is: osd.drive, words: {chip: chip, line: displayport}, default: chip}
  - opens: "tuning {n}"
    cells: {n: integer}
    settings: {push: {is: "profiles.{n}.push", integer: , default: 50}}
"""


def compiled(text: str, file: str = "own.yaml") -> Dialect:
    """A dialect from its YAML, as a user's own file would be read."""
    return own_dialect(read_yaml(text, file))


def placed(data: Mapping[str, Any]) -> Placed:
    """A dialect's data as if it were read from a file (JSON is YAML too)."""
    return read_yaml(json.dumps(data), "own.yaml")


def of(text: str) -> dict[str, Any]:
    """The data of a dialect, free to be changed."""
    data = read_yaml(text, "own.yaml").data
    assert isinstance(data, dict)
    return data


def typed(*rows: str) -> Text:
    """Lines as a file that is pasted."""
    return Text("typed.txt", "".join(f"{row}\n" for row in rows), "utf-8", mark=False)


def read(dialect: Dialect, *rows: str) -> Reading:
    """A dump of these lines, read."""
    source = Text("dump.txt", "".join(f"{row}\n" for row in rows), "utf-8", mark=False)
    return read_dump(source, as_dialect(source, dialect))


def leaves(reading: Reading, section: str = "") -> dict[str, Value]:
    """The leaves below a path by their dotted names, without those of the header and the limits."""
    skip = ("firmware", "limits")
    below = parse(section)
    return {
        dotted(path): leaf.value
        for path, leaf in reading.model.leaves.items()
        if path[: len(below)] == below and path[0] not in skip
    }
