"""One text that mends all findings together: what goes into it, what it leaves out, and that it ends."""

from __future__ import annotations

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import checked_rules
from cfgaudit.audit.finding import Mend
from cfgaudit.audit.remedy import remedy
from cfgaudit.audit.rule import Rule
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines
from cfgaudit.model.placed import read_yaml
from tests.audit.bench import reading_of, sheet_of, typed, values

DUMP = reading_of("""\
~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / everything
link u1 does 0x4 at 115200
link u4 does 0x0 at 115200
link u6 does 0x90 at 115200
screen := camera
thrust.magnets := 14
ready.checks := no
""")
SECTIONED = reading_of("""\
; dunlin 2.3.1 on Sedge-743 with STM32H743VIT6
; built 2026-02-17, telling all
craft = "heron"
[screen]
text-by = chip
[link D]
carries = idle
rate.picture-text = 115200
""")
NOTHING = sheet_of({})


def rule(id: str, expect: str, mend: str, about: str = "[x]", follows: str = "[]") -> Rule:
    text = f"""
- id: own/{id}
  level: error
  title: One
  expect: {expect}
  say: {id}
  about: {about}
  follows: {follows}
  mend: {mend}
  why: Because.
  basis: common practice
  cases:
    - fails: {{}}
"""
    (made,) = checked_rules(read_yaml(text, "own.yaml"))
    return made


def mend_of(one: Rule, reading: Reading = DUMP) -> Mend:
    (finding,) = audit(reading, NOTHING, (one,)).findings
    return finding.mend


def mends_of(*rules: Rule, reading: Reading = DUMP) -> Lines:
    return remedy(reading, NOTHING, rules, audit(reading, NOTHING, rules))


CHECKS = rule("checks", "model.arming.checks", "{arming.checks: true}")
POLES = rule("poles", "model.motors.poles == 12", "{motors.poles: 12}")


# What one finding's mend says


def test_a_mend_says_the_lines_and_what_takes_them_back() -> None:
    assert mend_of(CHECKS) == Mend(
        ("ready.checks := yes",), ("ready.checks := no",), "", ((("arming", "checks"), True),)
    )


def test_words_are_added_and_taken_away() -> None:
    added = rule("added", "'false'", "{ports.UART4.functions: + displayport}")
    assert mend_of(added).lines == ("link u4 does 0x80 at 115200",)
    taken = rule("taken", "'false'", "{ports.UART6.functions: '- displayport'}")
    assert mend_of(taken).lines == ("link u6 does 0x10 at 115200",)
    several = rule("several", "'false'", "{ports.UART4.functions: \"+ {['msp', 'displayport']}\"}")
    assert mend_of(several).lines == ("link u4 does 0x1080 at 115200",)


def test_what_is_as_wanted_is_not_written() -> None:
    for mend in (
        "{osd.drive: chip}",
        "{ports.UART6.functions: + gnss}",
        "{ports.UART6.functions: '- msp'}",
        "{motors.poles: '{model.motors.poles}'}",
    ):
        assert mend_of(rule("same", "'false'", mend)) == Mend((), ()), mend


def test_two_cells_of_a_row_are_one_line() -> None:
    both = rule("both", "'false'", "{ports.UART4.functions: [gnss], ports.UART4.rate_baud: 9600}")
    assert mend_of(both).lines == ("link u4 does 0x10 at 9600",)
    assert mend_of(both).undo == ("link u4 does 0x0 at 115200",)


def test_lines_stand_in_their_sections() -> None:
    wishes = "{osd.drive: displayport, ports.UART3.functions: + displayport, identity.craft_name: vole}"
    both = rule("both", "'false'", wishes)
    assert mend_of(both, SECTIONED).lines == (
        'craft = "vole"', "[link D]", "carries = picture-text", "[screen]", "text-by = line"
    )  # fmt: skip


def test_why_a_mend_cannot_be_written() -> None:
    for mend, reason in (
        ("{osd.drive: laser}", "has no word"),
        ("{motors.poles: 999}", "999 is outside 4 to 60"),
        ("{motors.poles: many}", "is not a number"),
        ("{motors.poles: 12.5}", "is not a whole number"),
        ("{ports.UART4.functions: + juggling}", "no bit"),
        ("{gnss.nowhere: 1}", "plover has no setting for gnss.nowhere"),
        ("{mixer.5.roll: 1.0}", "nothing says what lift should be"),
    ):
        told = mend_of(rule("odd", "'false'", mend))
        assert reason in told.cannot, told.cannot
        assert told.lines == ()
        assert told.undo == ()
        assert told.wanted, "what is wanted can be said all the same"


def test_a_mend_is_written_whole_or_not_at_all() -> None:
    half = rule("half", "'false'", "{ports.UART6.functions: '- displayport', osd.drive: laser}")
    assert mend_of(half).lines == ()
    assert "laser" in mend_of(half).cannot


# All of them together


def test_all_findings_are_mended_by_one_text() -> None:
    mends = mends_of(CHECKS, POLES)
    assert mends.lines == ("ready.checks := yes", "thrust.magnets := 12")
    assert mends.undo == ("ready.checks := no", "thrust.magnets := 14")
    assert mends.complete


def test_what_a_mend_brings_to_light_is_mended_too() -> None:
    drive = rule("drive", "model.osd.drive == 'displayport'", "{osd.drive: displayport}")
    checks = rule("then", "model.osd.drive == 'chip' || model.arming.checks", "{arming.checks: true}")
    assert not audit(DUMP, NOTHING, (checks,)).findings
    assert mends_of(drive, checks).lines == ("screen := serial", "ready.checks := yes")


def test_what_cannot_be_written_does_not_hinder_the_rest() -> None:
    laser = rule("laser", "model.osd.drive == 'laser'", "{osd.drive: laser}")
    mends = mends_of(laser, CHECKS)
    assert mends.lines == ("ready.checks := yes",)
    assert not mends.complete
    assert "laser" in mends.cannot[0]


def test_no_mend_is_written_by_halves() -> None:
    half = rule(
        "half", "model.osd.drive == 'laser'", "{ports.UART6.functions: '- displayport', osd.drive: laser}"
    )
    mends = mends_of(half, CHECKS)
    assert mends.lines == ("ready.checks := yes",)
    assert len(mends.cannot) == 1


def test_several_wishes_for_one_list_all_come_true() -> None:
    functions = "model.ports.UART4.functions"
    rules = [
        rule(word, f"\"'{word}' in {functions}\"", f"{{ports.UART4.functions: + {word}}}")
        for word in ("msp", "displayport", "vtx-control")
    ]
    mends = mends_of(*rules)
    after = typed(DUMP, mends.lines)
    assert {*after.model.tree["ports"]["UART4"]["functions"]} == {"msp", "displayport", "vtx-control"}  # type: ignore[index, call-overload]
    assert len(mends.lines) == 1


def test_a_consequence_is_left_to_its_root() -> None:
    root = rule("root", "model.osd.drive == 'displayport'", "{osd.drive: displayport}")
    after = rule("after", "model.osd.drive != 'chip'", '{osd.drive: "off"}', follows="[own/root]")
    assert mends_of(after, root).lines == ("screen := serial",)


def test_mends_that_take_each_other_back_end_and_say_so() -> None:
    one = rule("one", "model.osd.drive == 'displayport'", "{osd.drive: displayport}")
    two = rule("two", "model.osd.drive == 'off'", '{osd.drive: "off"}')
    mends = mends_of(one, two, CHECKS)
    assert "ready.checks := yes" in mends.lines
    assert len(mends.lines) == len(mends.undo) <= 2
    assert not mends.complete
    assert [why for why in mends.cannot if why.endswith("comes back after its mend")]
    assert values(typed(DUMP, mends.lines, mends.undo)) == values(DUMP)


def test_nothing_to_mend_is_no_line() -> None:
    holds = rule("holds", "'true'", '{osd.drive: "off"}')
    assert mends_of(holds) == Lines((), ())
