"""A fleet's report as plain data: findings of every level, drift, kinds of every sort, faults."""

from __future__ import annotations

from msgspec.structs import replace

from cfgaudit.audit.finding import Level
from cfgaudit.compare.fleet.configuration import Hidden, Kind
from cfgaudit.compare.fleet.majority import KindTold, NotSaid, Odd, Other
from cfgaudit.compare.fleet.row import Audited, Changed, Drifted, Faulty, Found, NoBaseline
from cfgaudit.report.fleet.paper import FleetPaper

CALM = Audited(
    craft="finch-1",
    dump="hangar/finch-1/dump.txt",
    sheet="hangar/finch-1/build.yaml",
    firmware="plover",
    version="4.1.2",
    board="Reed-405",
    dialect="plover",
    findings=(),
    hazards=(),
    accepted=0,
    holding=130,
    not_judged=0,
    not_understood=0,
    drift=NoBaseline(),
)
OPEN_LINE = Found(
    rule="osd/not-drawn",
    at="osd.elements",
    level=Level.NOTE,
    text="Nothing of the OSD is drawn.",
    fingerprint="0123456789abcdef",
    hazard="",
)
WRONG_PAD = Found(
    rule="motor/pin",
    at="outputs.3",
    level=Level.ERROR,
    text="Motor 3 (rear left) is driven from PC9, but its ESC is soldered to pad M3 (PC8).",
    fingerprint="89abcdef01234567",
    hazard="propellers",
    follows=(OPEN_LINE,),
)
STRONG = Found(
    rule="video/power",
    at="video_link.power_mw",
    level=Level.WARNING,
    text="The video sender is set to 400 mW; the general rule says 25 mW.",
    fingerprint="fedcba9876543210",
    hazard="radio",
)
FAULTS = (
    WRONG_PAD,
    replace(WRONG_PAD, at="outputs.4", follows=(OPEN_LINE, OPEN_LINE)),
    STRONG,
    OPEN_LINE,
)
BAD = replace(
    CALM,
    craft="finch-2",
    dump="hangar/finch-2/dump.txt",
    sheet="hangar/finch-2/build.yaml",
    findings=FAULTS,
    hazards=("meter",),
    accepted=1,
    not_judged=3,
    not_understood=2,
    drift=Drifted(
        baseline="hangar/finch-2/baseline.txt",
        recorded="2026-05-01T10:00:00+02:00",
        changes=5,
        heaviest=(
            Changed("can hurt", "motor 3", "pin PC8 → PC9"),
            Changed("wiring and links", "receiver", "link crsf → sbus"),
            Changed("how it flies", "battery", "warns at 3.5 → 3.6 V per cell"),
            Changed("the rest", "screen.frames", "12 → 20"),
            Changed("the rest", "screen.letters", "1 → 3"),
        ),
        sealed_otherwise=("radio / pairing",),
    ),
)
STEADY = replace(
    CALM,
    craft="finch-3",
    board="",
    firmware="",
    version="",
    drift=Drifted("hangar/finch-3/baseline.txt", "", 0, (), ()),
)
AWAITED = replace(CALM, craft="finch-4", drift=NoBaseline("hangar/finch-4/baseline.txt"))
KINDS = (
    KindTold(
        Kind("plover", "Reed-405", "quad-x"),
        tuple(f"finch-{n}" for n in range(1, 15)),
        True,
        (
            Odd(("outputs", "3", "pin"), "PC8", 13, (Other("PC9", ("finch-2",)),)),
            Odd(
                ("receiver", "bind"),
                Hidden("5ec2e7" * 10),
                12,
                (Other(Hidden("ab" * 32), ("finch-3",)), Other(NotSaid(), ("finch-4",))),
            ),
            Odd(
                ("battery", "cell_warn_v"),
                3.5,
                8,
                (Other(3.6, ("finch-1", "finch-2", "finch-3", "finch-5", "finch-6", "finch-9")),),
            ),
            *(Odd((f"screen.spare-{n}",), "1", 13, (Other("2", ("finch-7",)),)) for n in range(11)),
        ),
    ),
    KindTold(Kind("dunlin", "Sedge-743", ""), ("heron-1", "heron-2", "heron-3"), True, ()),
    KindTold(Kind("avocet", "", "hexa-x"), ("vole-1", "vole-2"), False, ()),
)
FLEET = FleetPaper(
    tool_version="0.1.0",
    folder="hangar",
    rows=(CALM, BAD, STEADY, AWAITED),
    faults=(Faulty("wren", "hangar/wren/dump.txt:1:1: there is no such file; check the name"),),
    kinds=KINDS,
    left_out=("hangar/spare",),
)
QUIET_FLEET = FleetPaper("0.1.0", "hangar", (CALM,), (), (), ())
