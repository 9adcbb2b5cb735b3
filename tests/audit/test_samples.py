"""The samples' story as an audit tells it: what is wrong with the otter after the preset, no more."""

from __future__ import annotations

import random
from functools import cache
from itertools import permutations

import pytest

import cfgaudit
from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Audit, Finding, Sight
from cfgaudit.audit.remedy import remedy
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import build_from
from tests.audit.bench import SAMPLES, asked, reading_of, sample, sample_text, sheet, typed, values

RULES = shipped_rules()
CRAFTS = ("otter", "heron", "vole")


def outcome(reading: Reading, craft: str = "otter") -> Audit:
    return audit(reading, sheet(craft), RULES)


def everything(seen: Audit) -> list[Finding]:
    return [one for root in seen.findings for one in (root, *root.follows)]


def at(sights: tuple[Sight, ...]) -> list[tuple[int, str]]:
    return [(sight.origin.line, sight.text) for sight in sights if isinstance(sight.origin, Place)]


# A good dump


@pytest.mark.parametrize("craft", CRAFTS)
def test_a_good_dump_has_no_findings_and_leaves_nothing_open(craft: str) -> None:
    seen = outcome(sample(f"{craft}/known-good.txt"), craft)
    assert seen.findings == ()
    assert seen.not_judged == ()
    assert {*seen.holding} == asked(RULES)
    assert seen.worst == ""


@pytest.mark.parametrize("craft", CRAFTS)
def test_a_good_dump_needs_no_remedy(craft: str) -> None:
    reading = sample(f"{craft}/known-good.txt")
    mends = remedy(reading, sheet(craft), RULES, outcome(reading, craft))
    assert (mends.lines, mends.undo, mends.cannot) == ((), (), ())


@pytest.mark.parametrize(("craft", "other"), [*permutations(CRAFTS, 2)])
def test_another_craft_s_sheet_does_not_fit(craft: str, other: str) -> None:
    found = {one.rule for one in everything(outcome(sample(f"{craft}/known-good.txt"), other))}
    assert found >= {"identity/other-board", "identity/other-firmware", "motor/pin-differs"}


# The otter after the preset: six faults, and what follows from two of them

AFTER = sample("otter/after.txt")


@cache
def found_after() -> Audit:
    return audit(AFTER, sheet("otter"), RULES)


ELSEWHERE = (
    "The displayport job is on UART6, where position receiver is soldered; video unit on UART4 gets nothing."
)
OUTSIDE = (
    "The craft name element takes columns 9 to 20 of row 22, but the canvas that video unit draws has "
    "columns 0 to 52 and rows 0 to 19."
)
# rule → what is said, the lines of the dump, how the lines of the sheet begin, the mend, what follows
FAULTS = {
    "serial/job-on-wrong-port": (
        ELSEWHERE,
        [(9, "link u6 does 0x90 at 115200"), (8, "link u4 does 0x0 at 115200")],
        ["port: UART4"],
        ("link u4 does 0x80 at 115200", "link u6 does 0x10 at 115200"),
        {"serial/jobs-that-cannot-share"},
    ),
    "osd/drive-does-not-fit": (
        "The OSD is set for the analogue chip, but video unit needs DisplayPort over a serial line.",
        [(162, "screen := camera")],
        ["- digital video:"],
        ("screen := serial",),
        {"osd/displayport-not-used"},
    ),
    "osd/canvas-not-drawn": (
        "The OSD's canvas is 60x22, but video unit draws 53x20 and 50x18.",
        [(164, "screen.columns := 60"), (165, "screen.rows := 22")],
        ["canvas: [53x20, 50x18]"],
        ("screen.columns := 53", "screen.rows := 20"),
        set(),
    ),
    "osd/element-outside": (
        OUTSIDE,
        [(87, "draw craft at 621")],
        ["canvas: [53x20, 50x18]"],
        ("draw craft at 615",),
        set(),
    ),
    "receiver/link-differs": (
        "The firmware listens for sbus, but receiver speaks crsf.",
        [(137, "stick.link := sbus")],
        ["speaks: crsf"],
        ("stick.link := crsf",),
        set(),
    ),
    "motor/pin-differs": (
        "Motor 3 (rear left) is driven from PC9, but its ESC is soldered to pad M3 (PC8).",
        [(46, "out 3 turns m3 pin C9")],
        ["3: {at: rear left,   pad: M3", "motor_pads: {M1: PB0"],
        ("out 3 turns m3 pin C8",),
        set(),
    ),
}  # fmt: skip


def test_after_the_preset_exactly_these_faults_are_found() -> None:
    seen = found_after()
    assert {one.rule for one in seen.findings} == {*FAULTS}
    assert len(seen.findings) == len(FAULTS)
    assert seen.not_judged == ()
    followers = {follower for *_, follows in FAULTS.values() for follower in follows}
    assert {*seen.holding} == asked(RULES) - {*FAULTS} - followers
    assert seen.worst == "error"


@pytest.mark.parametrize("rule", FAULTS)
def test_a_fault_with_all_that_is_said_about_it(rule: str) -> None:
    text, found, declared, mend, follows = FAULTS[rule]
    (finding,) = (one for one in found_after().findings if one.rule == rule)
    assert finding.text == text
    assert at(finding.found) == found
    assert [
        sight.text[: len(start)] for sight, start in zip(finding.declared, declared, strict=True)
    ] == declared
    assert {sight.origin.file for sight in finding.found if isinstance(sight.origin, Place)} == {"after.txt"}
    assert {sight.origin.file for sight in finding.declared if isinstance(sight.origin, Place)} == {
        "build.yaml"
    }
    assert finding.mend.lines == mend
    assert len(finding.mend.undo) == len(mend)
    assert finding.mend.cannot == ""
    assert {one.rule for one in finding.follows} == follows


def test_places_are_those_of_the_words() -> None:
    lines = sample_text("otter/after.txt").splitlines()
    sheet_lines = (sheet("otter").placed.text).splitlines()
    for finding in everything(found_after()):
        for sight in (*finding.found, *finding.declared):
            assert isinstance(sight.origin, Place)
            line = (lines if sight in finding.found else sheet_lines)[sight.origin.line - 1]
            assert line.strip() == sight.text
            assert line[: sight.origin.column - 1].endswith(" ")  # a word begins there


@pytest.mark.parametrize("rule", FAULTS)
def test_one_fault_mended_by_its_own_lines(rule: str) -> None:
    (finding,) = (one for one in found_after().findings if one.rule == rule)
    after = outcome(typed(AFTER, finding.mend.lines))
    assert {one.rule for one in after.findings} == FAULTS.keys() - {rule}
    assert values(typed(AFTER, finding.mend.lines, finding.mend.undo)) == values(AFTER)


def test_all_of_them_mended_and_undone() -> None:
    mends = remedy(AFTER, sheet("otter"), RULES, found_after())
    assert mends.complete
    assert {*mends.lines} == {line for *_, lines, _ in FAULTS.values() for line in lines}
    mended = typed(AFTER, mends.lines)
    seen = outcome(mended)
    assert seen.findings == ()
    assert seen.not_judged == ()
    assert {*seen.holding} == asked(RULES)
    undone = typed(mended, mends.undo)
    assert values(undone) == values(AFTER)
    assert prints(outcome(undone)) == prints(found_after())


def test_a_mend_is_shown_where_it_was_typed() -> None:
    """What stands on a line that was typed is that line's, not that of the dump with the same number."""
    worse = typed(AFTER, ["~ a note", "stick.link := ibus"])
    (finding,) = (one for one in outcome(worse).findings if one.rule == "receiver/link-differs")
    assert [(sight.origin, sight.text) for sight in finding.found] == [
        (Place("typed", 2, 15), "stick.link := ibus")
    ]


def test_before_the_preset_the_otter_was_an_analogue_craft() -> None:
    found = {one.rule for one in everything(outcome(sample("otter/before.txt")))}
    assert found >= {"serial/job-nowhere", "osd/drive-does-not-fit", "osd/canvas-not-drawn"}
    assert not found & {"motor/pin-differs", "receiver/link-differs"}
    before = sample("otter/before.txt")
    mends = remedy(before, sheet("otter"), RULES, outcome(before))
    assert outcome(typed(before, mends.lines)).findings == ()
    assert values(typed(before, mends.lines, mends.undo)) == values(before)


# The vole: a capture with four faults, and a dump of changes only

FAULTY = cfgaudit.read_dump(str(SAMPLES / "vole" / "faulty.txt"), build=sheet("vole"))
FIGURES_HALVED = (
    "The settings count 24 poles, but the motors have 12 magnets: every rpm figure is 0.5 times the real one."
)
VOLE_FAULTS = {
    "serial/job-on-wrong-port": (
        "The vtx-control job is on UART2, where ESC report is soldered; video sender on UART4 gets nothing.",
        [(27, "LINK4_WORK,1040"), (23, "LINK3_WORK,0")],
        ["port: UART4"],
        ("LINK3_WORK,1024", "LINK4_WORK,16"),
        ["serial/jobs-that-cannot-share"],
    ),
    "motor/poles": (
        FIGURES_HALVED,
        [(67, "ROTOR_PAIRS,12")],
        ["magnets: 12"],
        ("ROTOR_PAIRS,6",),
        [],
    ),
    "osd/standard-differs": (
        "The OSD is set for ntsc, but camera is pal.",
        [(117, "TEXT_LINES,525")],
        ["standard: pal"],
        ("TEXT_LINES,625",),
        ["osd/element-outside"] * 3,
    ),
    "battery/full-too-high": (
        "A full cell is set to 4.35 V, but a LiPo cell has 4.2 V at most.",
        [(172, "CELL_BRIM,4350")],
        ["battery:    {chemistry: lipo"],
        ("CELL_BRIM,4200",),
        [],
    ),
}


@cache
def found_in_vole() -> Audit:
    return outcome(FAULTY, "vole")


def test_in_the_vole_s_capture_exactly_these_faults_are_found() -> None:
    seen = found_in_vole()
    assert sorted(one.rule for one in seen.findings) == sorted(VOLE_FAULTS)
    assert seen.not_judged == ()
    followers = {follower for *_, follows in VOLE_FAULTS.values() for follower in follows}
    assert {*seen.holding} == asked(RULES) - {*VOLE_FAULTS} - followers
    assert (FAULTY.unknown, FAULTY.doubts, FAULTY.repeats) == ((), (), ())


@pytest.mark.parametrize("rule", VOLE_FAULTS)
def test_a_fault_of_the_vole_with_all_that_is_said_about_it(rule: str) -> None:
    text, found, declared, mend, follows = VOLE_FAULTS[rule]
    (finding,) = (one for one in found_in_vole().findings if one.rule == rule)
    assert finding.text == text
    assert at(finding.found) == found
    for sight, start in zip(finding.declared, declared, strict=True):
        assert sight.text.startswith(start)
    assert finding.mend.lines == mend
    assert [one.rule for one in finding.follows] == follows
    after = outcome(typed(FAULTY, mend), "vole")
    assert {one.rule for one in after.findings} == VOLE_FAULTS.keys() - {rule}
    assert values(typed(FAULTY, mend, finding.mend.undo)) == values(FAULTY)


def test_the_vole_mended_is_as_it_flew_well() -> None:
    mends = remedy(FAULTY, sheet("vole"), RULES, found_in_vole())
    assert mends.complete
    good = sample("vole/known-good.txt")
    assert values(typed(FAULTY, mends.lines)) == values(good)
    assert values(typed(FAULTY, mends.lines, mends.undo)) == values(FAULTY)


def test_a_dump_of_changes_only_tells_the_whole_vole() -> None:
    whole, changed = sample("vole/known-good.txt"), sample("vole/changed-only.txt")
    assert changed.dump.settings < whole.dump.settings / 2
    assert values(changed) == values(whole)
    told = {name: leaf.value for name, leaf in whole.model.settings.items()}
    assert {name: leaf.value for name, leaf in changed.model.settings.items()} == told
    assert outcome(changed, "vole") == outcome(whole, "vole")


# Fingerprints


def prints(seen: Audit) -> dict[str, str]:
    """Fingerprint → sentence, of every finding."""
    found = everything(seen)
    made = {one.fingerprint: one.text for one in found}
    assert len(made) == len(found), "two findings with one fingerprint"
    return made


def shuffled(text: str, seed: int) -> str:
    """The same dump with its lines in another order: those below the header and before any scope."""
    lines = text.splitlines(keepends=True)
    first = next(n for n, line in enumerate(lines) if line.strip() and not line.startswith(("~", ";")))
    last = next((n for n, line in enumerate(lines) if line.startswith(("tune ", "feel ", "["))), len(lines))
    middle = lines[first:last]
    random.Random(seed).shuffle(middle)
    return "".join([*lines[:first], *middle, *lines[last:]])


def with_shuffled_sections(text: str, seed: int) -> str:
    """The same dump with its sections, and the lines in each, in another order."""
    head, *sections = text.split("\n[")
    order = random.Random(seed)
    order.shuffle(sections)
    made = []
    for section in sections:
        name, *lines = section.rstrip("\n").splitlines()
        order.shuffle(lines)
        made.append("\n".join([f"[{name}", *lines]))
    return "\n".join([head, *made]) + "\n"


@pytest.mark.parametrize("seed", range(2))
def test_fingerprints_do_not_hang_on_the_order_of_lines(seed: int) -> None:
    text = sample_text("otter/after.txt")
    again = reading_of(shuffled(text, seed), "after.txt")
    assert values(again) == values(AFTER)
    assert prints(outcome(again)) == prints(found_after())


def test_fingerprints_do_not_hang_on_the_order_of_sections() -> None:
    """The heron's dump by the otter's sheet: as many findings as can be had."""
    text = sample_text("heron/known-good.txt")
    again = reading_of(with_shuffled_sections(text, 1), "known-good.txt")
    reading = sample("heron/known-good.txt")
    assert values(again) == values(reading)
    assert prints(outcome(again)) == prints(outcome(reading))
    assert len(prints(outcome(reading))) > 10


def test_fingerprints_do_not_hang_on_lines_before_or_the_file_s_name() -> None:
    text = sample_text("otter/after.txt").replace("\n", "\n\n~ a remark\n", 5)
    assert prints(outcome(reading_of(text, "elsewhere.txt"))) == prints(found_after())


ODD = """\
glow 3 amber
link u9 does 0x1 at 115200
volts.warn := 999
screen.norm := secam
pack.cells := many
ready.tilt := 30
"""


def test_fingerprints_of_what_cannot_be_read_do_not_hang_on_its_line() -> None:
    text = sample_text("otter/known-good.txt")
    header, _, rest = text.partition("\n\n")
    below, above = reading_of(text + ODD), reading_of(f"{header}\n{ODD}\n{rest}")
    first, second = outcome(below), outcome(above)
    assert {one.rule for one in first.findings} >= {
        "file/value-out-of-range", "file/word-unknown", "file/line-garbled", "file/line-repeated"
    }  # fmt: skip
    told = {one.rule: one for one in everything(first)}
    for one in everything(second):
        if one.rule in ("file/value-out-of-range", "file/line-garbled", "file/lines-unknown"):
            assert one.fingerprint == told[one.rule].fingerprint, one.text
            assert one.found != told[one.rule].found
            assert one.found


@pytest.mark.parametrize(
    ("rule", "line", "others"),
    [
        ("receiver/link-differs", "stick.link := {}", ["ibus", "sumd", "ghst"]),
        ("motor/pin-differs", "out 3 turns m3 pin {}", ["A2", "A3", "-"]),
        ("osd/canvas-not-drawn", "screen.columns := {}", ["64", "30", "50"]),
        ("osd/element-outside", "draw craft at {}", ["3966", "3967"]),
        (
            "serial/job-on-wrong-port",
            "link u6 does 0x10 at 115200\nlink {} does 0x80 at 115200",
            ["u3", "u5"],
        ),
    ],
)
def test_fingerprints_hang_on_the_values(rule: str, line: str, others: list[str]) -> None:
    def of(reading: Reading) -> set[str]:
        return {one.fingerprint for one in everything(outcome(reading)) if one.rule == rule}

    seen = of(AFTER)
    assert len(seen) == 1
    for value in others:
        changed = of(typed(AFTER, line.format(value).splitlines()))
        assert not changed & seen, value
        seen |= changed


def test_the_same_value_again_has_the_same_fingerprint() -> None:
    again = typed(AFTER, ["stick.link := ibus"], ["stick.link := sbus"])
    assert prints(outcome(again)) == prints(found_after())


def test_fingerprints_do_not_hang_on_what_the_sheet_lists_before() -> None:
    text = sheet("otter").placed.text.replace("  - receiver:", "  - buzzer: {}\n  - receiver:", 1)
    longer = build_from(read_yaml(text, "build.yaml"))
    assert prints(audit(AFTER, longer, RULES)) == prints(found_after())
    assert at(audit(AFTER, longer, RULES).findings[-1].declared) != at(found_after().findings[-1].declared)
