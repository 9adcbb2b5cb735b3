"""What becomes of a builder's change, one kind at a time."""

from __future__ import annotations

import pytest

from cfgaudit.compare.carry.carry import Plan, plan
from cfgaudit.compare.carry.fate import Carried, Fate, Shift
from cfgaudit.compare.carry.words import doubt_of
from tests.compare.carry.wren import NEW, OLD, changed, wren
from tests.dialect.small import compiled, read


def planned(*mine: str, new: str = NEW, old: str = OLD) -> Plan:
    return plan(wren(old, "old.txt"), wren(changed(old, *mine)), wren(new, "new.txt"))


def only(made: Plan) -> Carried:
    (one,) = made.carried
    return one


def lines(made: Plan) -> list[str]:
    """The script without what the firmware has moved by itself."""
    moved = {id(one) for one in made.moved}
    return [one.text for one in made.script if not any(id(about) in moved for about in one.about)]


@pytest.mark.parametrize(
    ("mine", "fate", "script"),
    [
        ("idle := 60", Fate.AS_IT_IS, ["idle := 60"]),
        ("wire w2 does 6 at 57600", Fate.AS_IT_IS, ["wire w2 does 6 at 57600"]),
        ("lean.most := 20", Fate.RENAMED, ["tilt.most := 20"]),
        ("volts.low := 330", Fate.REWRITTEN, ["volts.low := 3300"]),
        ("gust := 30", Fate.REWRITTEN, ["gust := 30"]),
        ("blink := fast", Fate.EQUAL, []),
    ],
)
def test_what_is_carried_over(mine: str, fate: Fate, script: list[str]) -> None:
    made = planned(mine)
    assert {one.fate for one in made.carried} == {fate}
    assert lines(made) == script


def test_a_value_that_is_no_longer_allowed_is_a_remark_with_the_nearest() -> None:
    made = planned("gust := 45")
    assert only(made).fate is Fate.NOT_ALLOWED
    assert lines(made) == [
        "# gust: you had 45, which is outside 0 to 40",
        "# the nearest that is allowed:",
        "# gust := 40",
    ]


def test_what_is_gone_is_a_remark() -> None:
    made = planned("tilt := -30")
    assert (only(made).fate, only(made).proposals) == (Fate.GONE, ())
    assert lines(made) == ["# tilt: you had -30, and there is no such setting now"]


def test_a_likely_successor_is_proposed_and_not_taken() -> None:
    made = planned("stick-low := 35")
    (one,) = only(made).proposals
    assert one.setting.label == "stick-calm"
    assert lines(made)[-1] == "# stick-calm := 35"
    assert made.planned.model.settings["stick-calm"].value == "40"


def test_a_successor_that_cannot_take_the_value_is_none() -> None:
    narrow = NEW.replace("stick-calm := 40\n", "")
    assert only(planned("stick-low := 35", new=narrow)).proposals == ()


def test_what_both_have_changed_is_for_the_builder_to_decide() -> None:
    made = planned("idle := 60", new=NEW.replace("idle := 55", "idle := 45"))
    assert only(made).fate is Fate.CONFLICT
    assert doubt_of(only(made)) == "idle: you had 6 %, it came with 5.5 % and comes with 4.5 % now"
    assert lines(made) == [f"# {doubt_of(only(made))}", "# idle := 60"]


def test_two_cells_of_a_line_have_a_fate_each() -> None:
    new = NEW.replace("wire w2 does 2 at 115200", "wire w2 does 2 at 38400")
    made = planned("wire w2 does 4 at 57600", new=new)
    fates = {one.triple.named.label: one.fate for one in made.carried}
    assert fates == {"wire w2 jobs": Fate.AS_IT_IS, "wire w2 rate": Fate.CONFLICT}
    assert "wire w2 does 4 at 38400" in lines(made)
    assert lines(made)[-1] == "# wire w2 does 4 at 57600"


def test_fields_of_a_packed_cell_have_a_fate_each() -> None:
    made = planned("spot volts 9", new=NEW.replace("spot volts 8", "spot volts 14"))
    assert {one.triple.named.label: one.fate for one in made.carried} == {"spot volts shown": Fate.AS_IT_IS}
    assert lines(made) == ["spot volts 15"]


def test_a_line_whose_cells_hang_together_has_one_fate() -> None:
    new = NEW.replace("knob 1 idle 900 900", "knob 1 call 900 1000")
    made = planned("knob 1 go 1700 2100", new=new)
    assert only(made).fate is Fate.CONFLICT
    assert lines(made)[-1] == "# knob 1 go 1700 2100"
    assert lines(planned("knob 1 go 1700 2100")) == ["knob 1 go 1700 2100"]


def test_a_row_that_took_another_shape_is_carried_as_a_whole() -> None:
    made = planned("foot 2 turns m2 on PA1")
    assert {one.fate for one in made.carried} == {Fate.AS_IT_IS}
    assert lines(made) == ["foot 2 turns m2 on PA1"]


def test_what_gives_up_comes_before_what_takes() -> None:
    made = planned("wire w1 does 3 at 420000", "wire w2 does 0 at 115200")
    assert lines(made) == ["wire w2 does 0 at 115200", "wire w1 does 3 at 420000"]


def test_what_the_firmware_changes_by_itself_is_told_with_the_way_back() -> None:
    made = planned()
    shifts = {one.triple.named.label: one.shift for one in made.moved}
    assert shifts == {
        "blink": Shift.MOVED,
        "tilt": Shift.GONE,
        "stick-low": Shift.GONE,
        "stick-calm": Shift.NEW,
        "wind": Shift.NEW,
    }
    assert [one.text for one in made.script] == [
        "# blink: it came with slow and comes with fast now; to have it as it was:",
        "# blink := slow",
    ]


def test_a_private_value_is_in_the_script_and_never_shown() -> None:
    made = planned("secret := abc123")
    (one,) = (line for line in made.script if "secret" in line.text)
    assert (one.text, one.shown) == ("secret := abc123", "# secret (private, not shown): type it yourself")
    both = planned("secret := abc123", new=NEW.replace('secret := ""', "secret := xyz"))
    assert not any("abc123" in line.shown or "xyz" in line.shown for line in both.script)


def test_a_line_that_nobody_understands_is_named() -> None:
    made = planned("what is this 7")
    assert [one.shown for one in made.strange] == ["what is this 7"]


def test_a_setting_that_the_builders_dump_does_not_tell_is_no_change() -> None:
    mine = OLD.replace("whole := 1\n", "")
    made = plan(wren(OLD, "old.txt"), wren(mine), wren(NEW.replace("whole := 1", "whole := 2"), "new.txt"))
    assert only(made).fate is Fate.UNSAID
    assert lines(made) == ["# your dump does not tell, so left as it comes: whole"]


def test_a_value_that_the_old_firmware_did_not_take_is_not_carried_over() -> None:
    assert only(planned("idle := 9999")).fate is Fate.NOT_ALLOWED
    assert only(planned("blink := never")).fate is Fate.NOT_ALLOWED


def test_a_packed_value_that_cannot_be_read_is_neither_gone_nor_untold() -> None:
    made = planned("spot volts 64")
    assert {(one.triple.named.field, one.fate) for one in made.carried} == {
        ("shown", Fate.NOT_ALLOWED),
        ("row", Fate.NOT_ALLOWED),
    }


def test_a_scope_that_the_new_firmware_has_not_is_not_opened() -> None:
    """Below an opening line that is refused, lines would go wherever one was before."""
    dialect = compiled(
        "dialect: own\nfamily: console\nheader: 'own {firmware.version}, {extent}'\n"
        "extent: {full: all, changed: some}\nremark: '#'\n"
        "scopes:\n  - opens: 'tune {n}'\n    cells: {n: {integer: , range: [1, 2]}}\n"
        "    settings: {grip: integer}\n"
    )
    old = read(dialect, "# own 1.0, all", "tune 1", "grip = 4", "tune 3", "grip = 4")
    mine = read(dialect, "# own 1.0, all", "tune 1", "grip = 4", "tune 3", "grip = 5")
    made = plan(old, mine, read(dialect, "# own 2.0, all", "tune 1", "grip = 4"))
    assert [(one.triple.named.label, one.fate) for one in made.carried] == [
        ("tune 3 / grip", Fate.NOT_ALLOWED)
    ]
    assert all(one.remark for one in made.script)


def test_of_a_row_that_is_two_shapes_now_no_cell_is_lost_in_silence() -> None:
    dialect = compiled(
        "dialect: own\nfamily: console\nheader: 'own {firmware.version}, {extent}'\n"
        "extent: {full: all, changed: some}\nremark: '#'\nforms:\n"
        "  - {line: 'row {n} {a} {b}', key: [n], until: '2.0', cells: {n: integer, a: integer, b: integer},\n"
        "     gives: {'profiles.{n}.a': a, 'profiles.{n}.b': b}}\n"
        "  - {line: 'row {n} first {a}', key: [n], since: '2.0', cells: {n: integer, a: integer},\n"
        "     gives: {'profiles.{n}.a': a}}\n"
        "  - {line: 'row {n} second {b}', key: [n], since: '2.0', cells: {n: integer, b: integer},\n"
        "     gives: {'profiles.{n}.b': b}}\n"
    )
    old, mine = (read(dialect, "# own 1.0, all", row) for row in ("row 1 3 4", "row 1 5 6"))
    made = plan(old, mine, read(dialect, "# own 2.0, all", "row 1 first 3"))
    assert [(one.triple.named.cell, one.fate) for one in made.carried] == [
        ("a", Fate.AS_IT_IS),
        ("b", Fate.NOT_ALLOWED),
    ]
    assert [one.text for one in made.script if not one.remark] == ["row 1 first 5"]
