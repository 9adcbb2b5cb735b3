"""One craft's reports as plain data: what the tests of every report draw from."""

from __future__ import annotations

from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.finding import (
    Accepted,
    Audit,
    Finding,
    Level,
    Mend,
    NotJudged,
    Sight,
    Unheeded,
    Unused,
    Weighed,
)
from cfgaudit.audit.left_out import LeftOut
from cfgaudit.compare.change import Change, Weight
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table
from cfgaudit.model.place import Default, Place
from cfgaudit.model.terms import Acceptance, ForGood, LevelChange
from cfgaudit.report.paper import AuditPaper, BuildHead, BuildPaper, DiffPaper, DumpHead

DUMP = DumpHead(
    file="after.txt",
    firmware="plover",
    version="4.1.2",
    board="Reed-405",
    extent="full",
    dialect="plover",
    settings=311,
    not_understood=0,
    keep_with="keep",
)
CAPTURE = replace(
    DUMP,
    file="before.txt",
    not_understood=2,
    notes=("A terminal capture: 1 prompt, 1 echoed command and 14 colour codes were taken out.",),
)
LEFT_OUT = (
    LeftOut(
        path=("board", "clocks", "apb1_mhz"),
        about="",
        rules=("serial/rate-inexact", "serial/rate-not-made"),
        reason="",
        below=("board",),
        where=Place("build.yaml", 7, 1),
        keys=("clocks", "apb1_mhz"),
        meaning="the first peripheral bus, which feeds most serial ports",
        example=42,
    ),
    LeftOut(
        path=("devices", "1", "canvas"),
        about="video unit",
        rules=("osd/canvas-not-drawn",),
        reason="",
        below=("devices", "1"),
        where=Place("build.yaml", 37, 5),
        keys=("canvas",),
        meaning="the canvas sizes that a video unit draws",
        example=["53x20"],
    ),
    LeftOut(
        path=("propeller", "inches"),
        about="",
        rules=("motor/tip-too-fast",),
        reason="",
        below=(),
        where=Place("build.yaml", 1, 1),
        keys=("propeller", "inches"),
        meaning="the diameter in inches",
        example=5,
    ),
    LeftOut(
        path=("battery", "connector"),
        about="",
        rules=("power/plug-too-small",),
        reason="what a XT99 stands is not known here",
        below=("battery", "connector"),
        where=Place("build.yaml", 80, 14),
        keys=(),
        meaning="the pack's plug",
        example="XT60",
    ),
)
BUILD = BuildHead(file="build.yaml", craft="otter", devices=3, motors=4)
BUILD_PAPER = BuildPaper(tool_version="0.1.0", build=BUILD)
PAPER = AuditPaper(tool_version="0.1.0", dump=DUMP, build=BUILD)

BESIDE = Finding(
    rule="serial/shared-line",
    level=Level.ERROR,
    title="Two jobs that cannot share a line",
    subject="model.ports.UART6",
    text="position receiver shares its line with displayport.",
    why="Two talkers on one line spoil each other's bytes.",
    basis="common practice",
    hazard="",
    declared=(),
    found=(Sight(Place("after.txt", 58, 6), "link u6 does 0x90 at 115200"),),
    mend=Mend((), ()),
    figures=("gnss and displayport",),
)
UNDRAWN = replace(
    BESIDE,
    rule="osd/not-drawn",
    level=Level.WARNING,
    title="What the pilot must see is not drawn",
    subject="model.osd.elements",
    text="Nothing of the OSD is drawn: battery_voltage, link_quality and warnings cannot be seen.",
    hazard="meter",
    found=(),
    figures=("battery_voltage",),
)
WRONG_PORT = Finding(
    rule="serial/job-on-wrong-port",
    level=Level.ERROR,
    title="A device's job is on a port it is not soldered to",
    subject="model.ports.UART4",
    text="The displayport job is on UART6, where position receiver is soldered; video unit on UART4 gets\n"
    "nothing.\n",
    why="A device hears only the line that it is soldered to, e.g. UART4.\n"
    "Presets are written for their author's board.\n",
    basis="common practice",
    hazard="",
    declared=(Sight(Place("build.yaml", 24, 13), "      port: UART4"),),
    found=(
        Sight(Place("after.txt", 58, 6), "link u6 does 0x90 at 115200"),
        Sight(Default("plover"), "link u4 does 0x0 at 115200"),
    ),
    mend=Mend(
        ("link u4 does 0x80 at 115200", "link u6 does 0x10 at 115200"),
        ("link u4 does 0x0 at 115200", "link u6 does 0x90 at 115200"),
    ),
    figures=("displayport", "UART6"),
    follows=(replace(BESIDE, follows=(UNDRAWN,)),),
)
WRONG_PAD = Finding(
    rule="motor/pin",
    level=Level.ERROR,
    title="A motor is driven from another pin than its pad's",
    subject="model.outputs.3",
    text="Motor 3 (rear left) is driven from PC9, but its ESC is soldered to pad M3 (PC8).",
    why="The stabiliser corrects the wrong corner of the frame. It cannot recover.",
    basis="common practice",
    hazard="propellers",
    declared=(
        Sight(Place("build.yaml", 41, 5), "3: {at: rear left, pad: M3, spin: counter-clockwise}"),
        Sight(Place("build.yaml", 11, 28), "motor_pads: {M1: PB0, M2: PB1, M3: PC8, M4: PC9}"),
    ),
    found=(Sight(Place("after.txt", 71, 11), "out 3 pin C9"),),
    mend=Mend(("out 3 pin C8",), ("out 3 pin C9",)),
    figures=("3", "PC9", "PC8"),
)
STRONG_RADIO = Finding(
    rule="video/power",
    level=Level.WARNING,
    title="Transmitter power beyond the published general rule",
    subject="build.video_link.power_mw",
    text="The video transmitter is set to 400 mW; the general rule published for the country says 25 mW.",
    why="Indicative only.",
    basis="from memory",
    hazard="radio",
    declared=(Sight(Place("build.yaml", 60, 3), "country: NL"),),
    found=(Sight(Place("after.txt", 140, 1), "video.power := 3"),),
    mend=Mend((), (), cannot="plover 4.1 has no word for 25 mW"),
    figures=("400", "25"),
)
CAPACITY = Finding(
    rule="battery/capacity",
    level=Level.NOTE,
    title="The capacity differs from the pack",
    subject="build.battery.capacity_mah",
    text="The dump says 1500 mAh, the pack has 1300 mAh.",
    why="The gauge would promise a minute that the pack does not have.",
    basis="common practice",
    hazard="",
    declared=(Sight(Place("build.yaml", 50, 3), "capacity_mah: 1300"),),
    found=(),
    mend=Mend((), ()),
    figures=("1500", "1300"),
)
NOT_JUDGED = (
    NotJudged(
        "osd/canvas",
        "The canvas is one that the video unit draws",
        "",
        "after.txt does not say osd.rows",
        None,
    ),
    NotJudged(
        "motor/poles",
        "The pole count is that of the motors",
        "motors.poles",
        "build.yaml does not declare motors.magnets",
        Place("build.yaml", 33, 3),
    ),
    NotJudged(
        "osd/canvas",
        "The canvas is one that the video unit draws",
        "osd.columns",
        "after.txt does not say osd.columns",
        None,
    ),
)
HOLDING = ("serial/rate", "battery/order", "loop/divides", "serial/console-kept", "receiver/link")

# Given lightest first: reports put them in order.
AUDIT = Audit((CAPACITY, STRONG_RADIO, WRONG_PORT, WRONG_PAD), HOLDING, NOT_JUDGED)
CLEAN = Audit((), HOLDING, ())
LENT = Acceptance(
    "video/power",
    "video_link.power_mw",
    "flown on a range with a permit of its own",
    date(2027, 3, 1),
    Place("build.yaml", 70, 5),
)
KNOWN = Audit(
    (WRONG_PORT,),
    HOLDING,
    (),
    (
        Accepted(STRONG_RADIO, LENT),
        Accepted(
            CAPACITY,
            Acceptance("battery/capacity", "", "two packs are flown", ForGood(), Place("build.yaml", 74, 5)),
        ),
    ),
    (
        Unheeded(
            Acceptance("motor/pin", "outputs.3", "it flew", ForGood(), Place("build.yaml", 76, 5)),
            Unused.NEVER,
            "cannot be accepted: The aircraft turns over as soon as it lifts.",
        ),
        Unheeded(
            Acceptance("osd/canvas", "", "soon", date(2026, 1, 31), Place("build.yaml", 77, 5)),
            Unused.EXPIRED,
            "expired, its last day was 2026-01-31: nothing is left to accept, take the entry out.",
        ),
    ),
    (
        Weighed(
            "motor/tip-too-fast",
            Level.NOTE,
            LevelChange("motor/tip-too-fast", "off", "rated for it", Place("build.yaml", 64, 5)),
        ),
        Weighed(
            "file/lines-unknown",
            Level.WARNING,
            LevelChange("file/lines-unknown", "error", "nothing is new here", Place("build.yaml", 65, 5)),
        ),
    ),
)
CALM = replace(KNOWN, findings=(), unheeded=(), weighed=())
MUTE = Audit((), (), NOT_JUDGED)


class Changes(Struct, frozen=True):
    """A comparison, as far as a report looks at it."""

    changes: tuple[Change, ...]


DIFF_PAPER = DiffPaper(tool_version="0.1.0", before=CAPTURE, after=DUMP)
CHANGED = Changes(
    (
        Change(
            Weight.REST,
            "volts.warn",
            "3.50 → 3.60 V per cell",
            (("battery", "cell_warn_v"),),
            (Place("before.txt", 139, 1),),
            (Place("after.txt", 140, 1),),
        ),
        Change(
            Weight.HURT,
            "motor 3",
            "pin PC8 → PC9",
            (("outputs", "3", "pin"),),
            (Place("before.txt", 70, 11),),
            (Place("after.txt", 71, 11),),
        ),
        Change(
            Weight.WIRING,
            "displayport",
            "moved from UART4 to UART6, beside gnss",
            (("ports", "UART4", "functions"), ("ports", "UART6", "functions")),
            (Place("before.txt", 56, 6),),
            (Place("after.txt", 56, 6), Place("after.txt", 58, 6)),
        ),
        Change(
            Weight.WIRING,
            "receiver",
            "link crsf → sbus",
            (("receiver", "link"),),
            (Place("before.txt", 101, 1),),
            (Default("plover"),),
            "after a restart",
        ),
        Change(Weight.REST, "beep.3", "gone", (), (Place("before.txt", 300, 1),), ()),
    )
)
WITHOUT_DIALECT = DiffPaper(
    tool_version="0.1.0",
    before=DumpHead("a.cfg", "", "", "", "unknown", "", 12, 0),
    after=DumpHead("b.cfg", "", "", "", "unknown", "", 13, 0),
)
LINES_CHANGED = Changes(
    (Change(Weight.REST, "tone 4", "long → short", (), (Place("a.cfg", 9, 1),), (Place("b.cfg", 9, 1),)),)
)


class Rule(Struct, frozen=True):
    """A rule, as far as a report looks at it."""

    id: str
    level: Level
    title: str
    needed: tuple[str, ...]
    follows: tuple[str, ...]
    why: str
    basis: str
    hazard: str
    never_accept: str
    inputs: tuple[tuple[str, tuple[str, ...]], ...] = ()
    mend: tuple[str, ...] = ()


RULES = (
    Rule(
        "serial/shared-line",
        Level.ERROR,
        "Two jobs that cannot share a line",
        ("model.ports",),
        ("serial/job-on-wrong-port",),
        "Two talkers on one line spoil each other's bytes.",
        "common practice",
        "",
        "",
    ),
    Rule(
        "motor/pin",
        Level.ERROR,
        "A motor is driven from another pin than its pad's",
        ("build.board.motor_pads", "build.motors.places", "model.outputs"),
        (),
        "The stabiliser corrects the wrong corner of the frame. It cannot recover, whatever the tuning is:\n"
        "the aircraft turns over as soon as it lifts.\n",
        "common practice",
        "propellers",
        "The aircraft turns over as soon as it lifts.",
        (("the build sheet", ("board.motor_pads", "motors.places")), ("the dump", ("outputs",))),
        ("outputs.3.pin",),
    ),
    Rule(
        "battery/capacity",
        Level.NOTE,
        "The capacity differs from the pack",
        (),
        (),
        "…",
        "from memory",
        "",
        "",
    ),
)

TABLES = (
    Table(
        "line",
        "what the serial lines carry",
        (
            Quantity(
                "receiver",
                "frame on the line",
                619.047619,
                "µs",
                "26 bytes × 10 bits / 420,000 baud ≈ 619 µs",
                "the link's own specification",
                ("serial/line-overfull",),
            ),
            Quantity(
                "position receiver",
                "load",
                Missing(("build.devices.1.messages",)),
                "bytes/s",
                "",
                "",
                ("serial/line-overfull",),
            ),
            Quantity(
                "position receiver",
                "rate",
                Missing(("build.board.chip",), "no table here lists the chip"),
                "baud",
                "",
                "",
                ("serial/rate-not-made",),
            ),
        ),
    ),
    Table("rotor", "motor signal, speed and filters", ()),
)
