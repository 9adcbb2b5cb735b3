"""A preset tried in text alone: what each line comes to, what it brings, and what fits instead."""

from __future__ import annotations

import pytest

from cfgaudit.compare.compare import compare
from cfgaudit.compare.preset.adapt import Kept
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.typed import Fate, type_lines
from tests.compare.preset import desk

CLASHES = {
    "motor/pin-differs": [20],
    "osd/canvas-not-drawn": [8, 9],
    "receiver/link-differs": [23],
    "serial/job-on-wrong-port": [5],
    "osd/element-outside": [17],
}


@pytest.fixture(scope="module")
def run() -> DryRun:
    return desk.tried(desk.otters_lines())


def text_of(run: DryRun) -> str:
    return "\n".join(desk.adapted(run))


def test_each_planted_clash_is_brought_and_traced(run: DryRun) -> None:
    found = {one.finding.rule: [line.line for line in one.lines] for one in run.effect.brought}
    assert found == CLASHES


def test_the_findings_point_into_the_preset(run: DryRun) -> None:
    for one in run.effect.brought:
        assert {line.line for line in one.lines} <= {
            sight.origin.line for sight in one.finding.found if sight.origin.file == "preset.txt"
        } | {5}


def test_what_was_wrong_before_is_left(run: DryRun) -> None:
    assert [one.finding.rule for one in run.effect.left] == ["osd/drive-does-not-fit"]
    assert run.effect.mended == ()


def test_one_line_for_each_reason_to_do_nothing(run: DryRun) -> None:
    why = {
        one.statement.line: (one.fate, why_nothing(one, run.session.before, run.elsewhere))
        for one in run.session.typed
        if one.does_nothing
    }
    assert why == {
        11: (Fate.OVERRULED, "line 34 says it again, and the last one counts"),
        30: (Fate.ALREADY, "it is so already"),
        31: (
            Fate.UNKNOWN,
            "plover writes it so since 4.2, and this is 4.1.2: here it is stick.quiet := 6",
        ),
        32: (Fate.REFUSED, "plover 4.1.2 refuses it: 8000 is outside 10 to 4000"),
        33: (Fate.ABSENT, "the board does not bring that port out"),
    }


def test_the_sample_after_it_is_what_typing_leads_to(run: DryRun) -> None:
    assert compare(run.session.after, desk.dump("otter", "after")).same


def test_what_is_in_force_is_what_was_typed(run: DryRun) -> None:
    typed = type_lines(
        desk.dump(), desk.preset(desk.otters_lines()), absent_ports(desk.dump(), desk.judge().sheet)
    )
    assert typed.after.in_force == run.session.after.in_force
    assert [one.fate for one in typed.typed] == [one.fate for one in run.session.typed]


def test_typed_instead_it_audits_clean(run: DryRun) -> None:
    assert run.adapted.audit.findings == ()
    again = desk.tried(desk.adapted(run))
    assert again.after.findings == ()
    assert again.adapted.changed == ()


def test_each_change_says_why_and_keeps_the_original(run: DryRun) -> None:
    for part in run.adapted.changed:
        assert part.kept is Kept.ADDED or part.was
        assert part.reasons
    lines = desk.adapted(run)
    assert "~ in place of: stick.dead := 6 ~ my thumbs are never still" in lines
    assert "~ left out: out 3 turns m3 pin C9" in lines
    assert lines[-1] == "keep"
    assert lines.count("keep") == 1


def test_the_authors_words_stay_where_they_were(run: DryRun) -> None:
    lines = desk.adapted(run)
    remarks = [line for line in desk.otters_lines() if line.startswith("~")]
    assert [line for line in lines if line in remarks] == remarks


def test_a_preset_that_fits_is_left_as_it_is() -> None:
    lines = ["~ lamps", "lamp.glow := 55", "", "tone.loud := 4", "keep"]
    run = desk.tried(lines, name="known-good")
    assert run.adapted.changed == ()
    assert desk.adapted(run) == lines


def test_nothing_is_known_of_a_board_that_no_sheet_tells() -> None:
    run = desk.tried(["link u7 does 0x40 at 57600"])
    assert run.session.typed[0].fate is Fate.ABSENT


@pytest.mark.parametrize(
    ("lines", "unkept"),
    [
        (["lamp.glow := 55", "keep"], []),
        (["lamp.glow := 55"], [1]),
        (["lamp.glow := 55", "keep", "tone.loud := 4", "pack.cells := 6"], [3]),
    ],
)
def test_what_a_restart_loses(lines: list[str], unkept: list[int]) -> None:
    assert [one.statement.line for one in desk.tried(lines).unkept] == unkept


def test_what_it_was_made_for(run: DryRun) -> None:
    (otherwise,) = run.otherwise
    assert otherwise.text.startswith("it was made for the board Sedge-743, and this is Reed-405")
    assert str(otherwise.origin) == "preset.txt:2:21"


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("~ for plover >=4.2 on Reed-405", "it was made for plover >=4.2, and this is 4.1.2"),
        ("; for dunlin 2.3 on Sedge-743", "it was made for dunlin, and this is plover"),
    ],
)
def test_made_for_something_else(head: str, said: str) -> None:
    (otherwise,) = desk.tried([head, "lamp.glow := 55"]).otherwise
    assert otherwise.text == said


# Parts of a configuration that a line opens


def test_lines_below_an_opening_line() -> None:
    run = desk.tried(["tune 2", "grip.roll := 51", "tune 1"])
    assert [one.fate for one in run.session.typed] == [Fate.OPENS, Fate.SETS, Fate.OPENS]
    (change,) = run.changes.changes
    assert change.paths == (("profiles", "2", "roll_grip"),)


def test_a_choice_that_is_left_open_is_a_change() -> None:
    run = desk.tried(["tune 2", "grip.roll := 51"])
    assert {change.paths[0] for change in run.changes.changes} == {
        ("profiles", "active"),
        ("profiles", "2", "roll_grip"),
    }


def test_lines_that_stand_outside_their_part() -> None:
    run = desk.tried(["grip.roll := 51", "lamp.glow := 50"])
    assert run.session.typed[0].fate is Fate.UNKNOWN
    assert why_nothing(run.session.typed[0], run.session.before, {}) == (
        "it counts only below “tune {n}”, and does not stand there"
    )


def test_lines_below_an_opening_line_that_is_refused() -> None:
    run = desk.tried(["tune 9", "grip.roll := 51", "lamp.glow := 50"])
    assert [one.fate for one in run.session.typed] == [Fate.REFUSED, Fate.REFUSED, Fate.SETS]
    assert (
        why_nothing(run.session.typed[1], run.session.before, {})
        == "plover 4.1.2 refuses line 1, below which it stands"
    )
    assert [one.subject for one in run.changes.changes] == ["lamp.glow"]


# Other ways of writing


def test_a_preset_in_sections() -> None:
    lines = [
        "; for dunlin 2.3 on Sedge-743",
        "patience = 0.5",
        'craft = "heron"',
        "[link D]",
        "carries = picture-text",
        "rate.picture-text = 115200",
        "[link E]",
        "carries = picture-text",
        "remember",
    ]
    run = desk.tried(lines, "heron")
    assert [one.fate for one in run.session.typed][-1] is Fate.KEEPS
    assert {one.finding.rule for one in run.effect.brought}
    assert all(one.lines for one in run.effect.brought)
    again = desk.tried(desk.adapted(run), "heron")
    assert again.effect.brought == ()


def test_what_a_build_needs_outside_of_sections_comes_first() -> None:
    run = desk.tried(["[link D]", "rate.picture-text = 9600", "remember"], "heron")
    again = desk.tried(desk.adapted(run), "heron")
    assert again.effect.brought == ()
    assert all(one.fate is not Fate.UNKNOWN for one in again.session.typed)


def test_a_preset_in_columns() -> None:
    run = desk.tried(["LINK4_WORK,0", "LINK5_WORK,16", "PAD0,C09,ROTOR1", "store"], "vole")
    rules = {one.finding.rule: [line.line for line in one.lines] for one in run.effect.brought}
    assert rules
    assert all(rules.values())
    again = desk.tried(desk.adapted(run), "vole")
    assert again.effect.brought == ()
