"""Settings of other trades, all invented: each before and after, and what one would say of it."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.compare.compare import Comparison
from cfgaudit.compare.plain.compare import compare_plain
from cfgaudit.compare.plain.lines import plain_sides
from cfgaudit.dump.text import Text

Told = tuple[str, str, tuple[int, ...], tuple[int, ...]]  # subject, text, lines before, lines after


class Trade(Struct, frozen=True):
    """A text before and after, and the changes."""

    name: str
    before: str
    after: str
    told: tuple[Told, ...]


def compared(before: str, after: str) -> Comparison:
    """What changed from one text to another."""
    return compare_plain(*plain_sides(Text("a", before, "utf-8", False), Text("b", after, "utf-8", False)))


def told(before: str, after: str) -> list[Told]:
    """The changes in short."""
    return [
        (
            one.subject,
            one.text,
            tuple(getattr(place, "line", 0) for place in one.before),
            tuple(getattr(place, "line", 0) for place in one.after),
        )
        for one in compared(before, after).changes
    ]


PRINTER = Trade(
    "a printer's settings",
    """\
; carriage
W12 X80.0 Y80.0 Z400.0
W14 X500 Y500
W60 axis0 0.15
W60 axis1 0.15
W60 axis2 0.05
W61 hot0 21.7 1.5 60
W61 bed 80 2 300
W99
""",
    """\
; carriage, new belt
W14 X500 Y500 ; as before
W12 X80.0   Y80.4 Z400.0
W61 bed 80 2 300
W61 hot0 22.1 1.5 60
W60 axis2 0.05
W60 axis0 0.20
W60 axis1 0.15
W62 fan0 255
""",
    (
        ("W12", "X80.0 Y80.0 Z400.0 → X80.0 Y80.4 Z400.0", (2,), (3,)),
        ("W60 axis0", "0.15 → 0.20", (4,), (7,)),
        ("W61 hot0", "21.7 1.5 60 → 22.1 1.5 60", (7,), (5,)),
        ("W62", "appeared: fan0 255", (), (9,)),
        ("W99", "gone", (9,), ()),
    ),
)

BOOT = Trade(
    "a bootloader's environment",
    """\
wait_s=3
start=load disk 0x8000; jump 0x8000
console=uart0,115200
serial#=0017
rescue=
""",
    """\
console=uart0,57600
wait_s=0x3
rescue=net
start=load  disk 0x8000; jump 0x8000
serial#=0017
mac=02:00:00:00:00:17
""",
    (
        ("console", "uart0,115200 → uart0,57600", (3,), (1,)),
        ("mac", "appeared: 02:00:00:00:00:17", (), (6,)),
        ("rescue", "(empty) → net", (5,), (3,)),
        ("wait_s", "3 → 0x3", (1,), (2,)),
    ),
)

ROUTER = Trade(
    "a router's configuration",
    """\
hostname weir
interface lan1
  address 10.0.0.1/24
  speed 1000
  allow 10.0.0.7
  allow 10.0.0.9
!
interface lan2
  address 10.1.0.1/24
!
path 10.2.0.0/16 via 10.0.0.2
path 10.3.0.0/16 via 10.0.0.2
names 10.0.0.3
names 10.0.0.4
""",
    """\
hostname weir
! the far bank
interface lan2
  address 10.1.0.1/24
interface lan1
  speed 100
  allow 10.0.0.9
  address 10.0.0.1/24
  allow 10.0.0.8
  allow 10.0.0.6
interface lan3
  address 10.8.0.1/24
!
names 10.0.0.4
names 10.0.0.5
path 10.3.0.0/16 via 10.0.0.5
path 10.2.0.0/16 via 10.0.0.2
""",
    (
        ("interface", "appeared: lan3", (), (11,)),
        ("names", "10.0.0.3 → 10.0.0.5", (13,), (15,)),
        ("path 10.3.0.0/16", "via 10.0.0.2 → via 10.0.0.5", (12,), (16,)),
        ("interface lan1 / allow", "appeared: 10.0.0.6", (), (10,)),
        ("interface lan1 / allow", "appeared: 10.0.0.8", (), (9,)),
        ("interface lan1 / allow", "gone: 10.0.0.7", (5,), ()),
        ("interface lan1 / speed", "1000 → 100", (4,), (6,)),
        ("interface lan3 / address", "appeared: 10.8.0.1/24", (), (12,)),
    ),
)

KERNEL = Trade(
    "options of a kernel",
    """\
#
# made for the gauge hut
#
OPT_TICKS=250
OPT_FLOAT=y
# OPT_SOUND is not set
OPT_DISK=m
OPT_NAME="hut 1"
""",
    """\
#
# made for the lock house
#
OPT_NAME="hut  1"
# OPT_FLOAT is not set
OPT_SOUND=y
OPT_TICKS=250
# OPT_RADIO is not set
""",
    (
        ("OPT_DISK", "gone: m", (7,), ()),
        ("OPT_FLOAT", "y → is not set", (5,), (5,)),
        ("OPT_NAME", '"hut 1" → "hut  1"', (8,), (4,)),
        ("OPT_RADIO", "appeared: is not set", (), (8,)),
        ("OPT_SOUND", "is not set → y", (6,), (6,)),
    ),
)

MODEM = Trade(
    "a modem's registers",
    """\
K0:001 K1:000 K2:043 K3:013
K4:010 K5:008 K10:020
PROFILE night
""",
    """\
PROFILE night
K0:002 K1:000 K2:043
K3:013 K4:010 K5:008 K11:020
""",
    (
        ("K0", "001 → 002", (1,), (2,)),
        ("K10", "gone: 020", (2,), ()),
        ("K11", "appeared: 020", (), (3,)),
    ),
)

SECTIONS = Trade(
    "sections with the same name in two",
    """\
name = pump house

[pump north]
rate = 40
mode = auto   ; by the float
valves = 1 2 3

[pump south]
rate = 40
mode = auto

[log]
""",
    """\
name = pump house
[pump south]
mode = auto
rate = 45
[pump north]
valves = 1 2  3
mode = auto   ; by hand, seldom
rate = 40
[alarm]
at = 90
""",
    (
        ("[alarm]", "appeared", (), (9,)),
        ("[log]", "gone", (12,), ()),
        ("[alarm] at", "appeared: 90", (), (10,)),
        ("[pump south] rate", "40 → 45", (9,), (4,)),
    ),
)

TABLE = Trade(
    "a table of columns",
    """\
gauge,side,low_mm,high_mm,note
1,left,120,900,"mud, weed"
1,right,120,900,
2,left,140,950,
3,left,100,800,old
""",
    """\
gauge,side,low_mm,high_mm,note
3,left,100,800,old
2,left,140,950,
1,right,120,910,
1,left,120,900,"mud, reed"
4,left,,700,
""",
    (
        ("1,left", '120,900,"mud, weed" → 120,900,"mud, reed"', (2,), (5,)),
        ("1,right", "120,900, → 120,910,", (3,), (4,)),
        ("4", "appeared: left,,700,", (), (6,)),
    ),
)

ROWS = Trade(
    "rows with keys of two and three cells, repeats and lists",
    """\
range arm 1 900 1300
range arm 2 1700 2100
range beep 1 900 1300
cell 1 1 1 5
cell 1 1 2 6
cell 1 2 1 7
gain 45
gain 50
set roll 4
set pitch 5
set yaw 6
set flap 7
set yaw 8
beep
beep
""",
    """\
set yaw 8
set yaw 6
set flap 7
set pitch 9
set roll 4
gain 50
gain 52
beep
cell 1 1 1 5
cell 1 2 1 8
cell 1 1 2 6
range arm 2 1700 2100
range beep 1 900 1300
range arm 1 900 1350
range arm 3 900 1000
""",
    (
        ("cell 1 2 1", "7 → 8", (6,), (10,)),
        ("gain", "45 → 52", (7,), (7,)),
        ("range arm 1", "900 1300 → 900 1350", (1,), (14,)),
        ("range arm 3", "appeared: 900 1000", (), (15,)),
        ("set pitch", "5 → 9", (10,), (4,)),
    ),
)

MOUNT = Trade(
    "a telescope mount's parameters, commas between columns",
    """\
# mount, as set up at the far bank
SITE,"far bank, north",12
AXIS1_RATIO,180
AXIS2_RATIO,180
AXIS1_LIMIT,-95,95   ; degrees
PARK,1,90,0
PARK,2,0,45
NOTE,kept under the old mill
GUIDE_RATE,0.5,
TRACK,,sidereal
TONE,4
TONE,4
STAR,12
STAR,40
""",
    """\
# mount, second night
GUIDE_RATE , 0.75
TRACK,,lunar
AXIS2_RATIO,180
  AXIS1_RATIO,360
AXIS1_LIMIT,-95, 95   ; as before
PARK,2,0,45
PARK,1,90,15
PARK,3,180,0
NOTE,kept under the old  mill
SITE,"far bank, south",12
TONE,4
STAR,40
STAR,44
HOME_AT,"90"
""",
    (
        ("AXIS1_RATIO", "180 → 360", (3,), (5,)),
        ("GUIDE_RATE", "0.5 → 0.75", (9,), (2,)),
        ("HOME_AT", 'appeared: "90"', (), (15,)),
        ("NOTE", "kept under the old mill → kept under the old  mill", (8,), (10,)),
        ("PARK,1", "90,0 → 90,15", (6,), (8,)),
        ("PARK,3", "appeared: 180,0", (), (9,)),
        ("SITE", '"far bank, north",12 → "far bank, south",12', (2,), (11,)),
        ("STAR", "12 → 44", (13,), (14,)),
        ("TRACK", ",sidereal → ,lunar", (10,), (3,)),
    ),
)

LATHE = Trade(
    "a lathe's parameters, tabs between columns",
    """\
# lathe 3
SpindleLeast\t60
SpindleMost\t2400
Axis1Pitch\t5.0
Axis2Pitch\t4.0
Axis1Slack\t0.02\t0.01
Axis2Slack\t0.03\t0.01
JawForce\t35
TurretTools\t8
ProbePin\t-
ShownAs\t"weir lathe"
""",
    """\
# lathe 3
ShownAs\t"weir lathe 2"
AxisPitch9\t5.0
Axis2Pitch\t4.0
Axis1Pitch\t\t5.0
Axis2Slack\t0.03 0.02
Axis1Slack\t0.02\t0.01 # measured
SpindleMost\t2400
SpindleLeast\t60
JawForce\t40
TurretTools\t8
""",
    (
        ("Axis2Slack", "0.03 0.01 → 0.03 0.02", (7,), (6,)),
        ("AxisPitch9", "appeared: 5.0", (), (3,)),
        ("JawForce", "35 → 40", (8,), (10,)),
        ("ProbePin", "gone: -", (10,), ()),
        ("ShownAs", '"weir lathe" → "weir lathe 2"', (11,), (2,)),
    ),
)

TRADES = (PRINTER, BOOT, ROUTER, KERNEL, MODEM, SECTIONS, TABLE, ROWS, MOUNT, LATHE)
