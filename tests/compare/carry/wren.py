"""A small invented firmware of which the versions differ in every way that an update can meet."""

from __future__ import annotations

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.load import dialect
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dump.text import Text
from cfgaudit.model.placed import read_yaml

WREN = r"""
dialect: wren
family: console
header: "wren {firmware.version} on {firmware.board}, {extent}"
extent: {full: all, changed: changes}
keep_with: hold
remark: "#"
assignment: "{name} := {value}"
forms:
  - line: "wire {id} does {jobs} at {rate}"
    key: [id]
    cells:
      id: {words: {w1: UART1, w2: UART2}}
      jobs: {bits: {0: receiver, 1: gnss, 2: displayport}}
      rate: {integer: , range: [1200, 1000000]}
    gives: {"ports.{id}.functions": jobs, "ports.{id}.rate_baud": rate}
  - line: "foot {n} turns m{motor} on {pin}"
    key: [n]
    cells: {n: integer, motor: {integer: , range: [1, 4]}, pin: {pin: , none: "-"}}
    gives: {"outputs.{n}.motor": motor, "outputs.{n}.pin": pin}
  - line: "foot {n} serves {use} on {pin}"
    key: [n]
    cells: {n: integer, use: {words: {lamp: led-strip}}, pin: {pin: , none: "-"}}
    gives: {"outputs.{n}.use": use, "outputs.{n}.pin": pin}
  - line: "knob {n} {mode} {low} {high}"
    key: [n]
    cells:
      n: integer
      mode: {words: {idle: none, go: arm, call: beeper}}
      low: {integer: , range: [900, 2100]}
      high: {integer: , range: [900, 2100]}
    gives: {"modes.{mode}.{n}.from_us": low, "modes.{mode}.{n}.to_us": high}
  - line: "spot {element} {where}"
    key: [element]
    cells:
      element: {words: {volts: battery_voltage}}
      where: {packed: {shown: {bits: 0, flag: }, row: {bits: 1-5}}}
    gives: {"osd.elements.{element}.row": where.row, "osd.elements.{element}.shown": where.shown}
settings:
  idle: {is: motors.idle_percent, decimal: 0.1, range: [0, 20]}
  volts.low:
    - {is: battery.cell_warn_v, decimal: 0.01, range: [2.5, 4.2], until: "2.0"}
    - {is: battery.cell_warn_v, decimal: 0.001, range: [2.5, 4.2], since: "2.0"}
  gust:
    - {integer: , range: [0, 100], until: "2.0"}
    - {integer: , range: [0, 40], since: "2.0"}
  lean.most: {is: arming.angle_limit_deg, integer: , range: [5, 180]}
  blink: {words: {slow: slow, fast: fast}}
  tilt: {integer: , until: "2.0"}
  stick-low: {integer: , range: [0, 250], until: "2.0"}
  stick-calm: {integer: , range: [0, 250], since: "2.0"}
  wind: {integer: , since: "2.0"}
  secret: {is: receiver.bind, text: "[a-z0-9]{0,12}", private: true}
  whole: integer
renamed: {"2.0": {lean.most: tilt.most}}
"""

OLD = """# wren 1.0 on Reed-405, all
wire w1 does 1 at 420000
wire w2 does 2 at 115200
foot 1 turns m1 on PA0
foot 2 serves lamp on PA1
knob 1 idle 900 900
spot volts 8
idle := 55
volts.low := 350
gust := 20
lean.most := 25
blink := slow
tilt := 0
stick-low := 40
secret := ""
whole := 1
"""
NEW = """# wren 2.0 on Reed-405, all
wire w1 does 1 at 420000
wire w2 does 2 at 115200
foot 1 turns m1 on PA0
foot 2 serves lamp on PA1
knob 1 idle 900 900
spot volts 8
idle := 55
volts.low := 3500
gust := 20
tilt.most := 25
blink := fast
stick-calm := 40
wind := 9
secret := ""
whole := 1
"""


def firmware() -> Dialect:
    return dialect(read_yaml(WREN, "wren.yaml"))


def wren(text: str, file: str = "mine.txt") -> Reading:
    source = Text(file, text, "utf-8", mark=False)
    return read_dump(source, as_dialect(source, firmware()))


def changed(text: str, *lines: str) -> str:
    """A dump with some lines in place of those with the same beginning, or added at its end."""
    rows = text.splitlines()
    for line in lines:
        words = line.split()
        begin = " ".join(words[:2]) if words[1:2] != [":="] else f"{words[0]} :="
        at = [n for n, row in enumerate(rows) if row.startswith(f"{begin} ")]
        rows[at[0] if at else len(rows) : at[0] + 1 if at else None] = [line]
    return "\n".join([*rows, ""])
