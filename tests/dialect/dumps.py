"""Dumps to read: of the small firmwares by hand, of the shipped ones from the samples."""

from __future__ import annotations

from cfgaudit.dump.text import decode
from tests.house.checkout import ROOT

TEAL_FULL = """\
~ teal 1.0 on Reed-405, all
line lusb jobs 0x1 pace 115200
line l1 jobs 0x4 pace 9600
line l2 jobs 0x20 pace 57600
leg 1 spins m1 on B6
leg 2 spins m2 on B7
leg 3 serves lamp on off
lever 1 go 1 1700 2100
lever 2 flat 2 900 1300
lever 3 idle 1 900 900
show volts 1170
show alerts 37
song low 1 2 3
put volts.warn := 350
put volts.full := 4.20
put screen := serial
put called := "two words"
put pair := 00ff
put talks := a, b
put seed := 0x1F
put checks := yes
put budget := 33
tune 1
put grip := 44
put word := one
bend roll 0 40 100
tune 2
put grip := 45
put word := two
bend roll 0 60 100
tune 1
"""

KNOT_FULL = """\
; knot 2.3 for Sedge-743
; everything is told

craft = "two words"
tuning = 2

[link A]
carries = desk
upright = yes
rest = high
rate.desk = 115200

[link B]
carries = sticks gnss
upright = no
rest = low
rate.desk = 115200
rate.sticks = 420000

[range 0]
acts = arm 0 1700 2100

[range 1]
acts = unused 0 900 900

[pin PB06]
timer = 3
stream = 1/3

[screen]
size = 3412
text-by = line

[tuning 1]
push = 30

[tuning 2]
push = 40
"""


def sample(craft: str, name: str = "known-good.txt") -> str:
    """A dump of the samples."""
    return decode((ROOT / "samples" / craft / name).read_bytes(), name).text


DUMPS = {
    "teal": TEAL_FULL,
    "knot": KNOT_FULL,
    "plover": sample("otter"),
    "dunlin": sample("heron"),
    "avocet": sample("vole"),
}
