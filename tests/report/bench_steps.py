"""Bench lists as plain data: what the tests of text and Markdown draw from."""

from __future__ import annotations

from msgspec.structs import replace

from cfgaudit.audit.bench.call import Call
from cfgaudit.audit.bench.step import Stage, Step
from cfgaudit.model.place import Default, Place
from cfgaudit.report.paper import BenchPaper
from tests.report.otter import BUILD, CAPTURE, DUMP

BENCH_PAPER = BenchPaper("0.1.0", BUILD, (DUMP,), calls=3, not_judged=1)
BENCH_SHORT = replace(BENCH_PAPER, build=replace(BUILD, craft=""), calls=0, not_judged=0)
BENCH_DIFF = BenchPaper("0.1.0", BUILD, (CAPTURE, DUMP), calls=1)

PAD = Call(
    name="motor/pin",
    text="Motor 3 (rear left) is driven from PC9, but its ESC is soldered to pad M3 (PC8).",
    rules=("motor/pin",),
    paths=(("model", "outputs", "3", "pin"),),
    origins=(Place("after.txt", 71, 11), Place("build.yaml", 41, 5), Place("build.yaml", 11, 28)),
    effect="restart",
    mended=True,
)
OTHER_PAD = replace(
    PAD,
    text="Motor 4 (front left) is driven from PC8, but its ESC is soldered to pad M4 (PC9).",
    origins=(Place("some/where/after.txt", 72, 11), Place("build.yaml", 42, 5)),
)
LINES = Call(
    name="file/lines-unknown",
    text="12 lines are not known to the dialect.",
    rules=("file/lines-unknown",),
    paths=(),
    origins=tuple(Place("after.txt", line, 1) for line in range(300, 312)),
)
CHANGE = Call(
    name="receiver",
    text="receiver: link crsf → sbus",
    rules=(),
    paths=(("model", "receiver", "link"),),
    origins=(Default("plover"),),
)

BEFORE = Stage(0, "Before anything", "")
LOOK = Stage(1, "Power off: look and measure", "Nothing is plugged in. " * 6 + "Nothing.")
LATER = Stage(4, "Battery in, propellers still off", "Propellers are off.")

BARE = Step("bare", BEFORE, "Take every propeller off.", "Bare shafts.", "Stop here.", (), (), ())
STEPS = (
    BARE,
    Step(
        name="wires",
        stage=LOOK,
        do="Follow the signal wire of each of these motors from its ESC back to the board; in a plug, count "
        "the places from the marked end.",
        see="It ends at the pad of its row.",
        if_not="The motor is on another pad than the sheet says. Correct the sheet and audit again, before "
        "you paste anything.",
        rows=(
            "motor 3: rear left, pad M3",
            "motor 4: front left, pad M4 " + "and so on " * 12 + "to the end",
        ),
        lines=(),
        calls=(PAD, OTHER_PAD),
    ),
    Step(
        name="paste",
        stage=LATER,
        do="Paste these lines.",
        see="They are taken.",
        if_not="Stop.",
        rows=(),
        lines=("out 3 turns m3 pin C8", "tune" + " 1 2 3 4 5" * 15, "name := `otter` ``` *not* <b>bold</b>"),
        calls=(OTHER_PAD, PAD, LINES),
    ),
)
SHORT = (BARE,)
CHANGED_STEPS = (
    BARE,
    Step("sticks", LOOK, "Move a stick.", "Its channel moves.", "The link.", (), (), (CHANGE,)),
    Step("lost", LATER, "Switch off.", "Failsafe.", "The receiver.", (), (), (CHANGE,)),
)
