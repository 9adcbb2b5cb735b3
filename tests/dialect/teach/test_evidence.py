"""What a dialect says already counts as known: lessons that fit it add words and need no others."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.teach.evidence import SO_FAR, Entry
from cfgaudit.dialect.teach.fact import fact, may_be, values_of
from cfgaudit.dialect.teach.lesson import CHANGED_MOST
from cfgaudit.dialect.teach.settle import Outcome, Status
from cfgaudit.dialect.teach.teach import Taught, teach
from cfgaudit.model.path import parse
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from tests.dialect.teach.desk import Desk

HAND = """dialect: own
family: console
header: "own {firmware.version}"
assignment: "{name} := {value}"
forms:
  - line: "link {a} does {b} at {c} as {d}"
    key: [a]
    cells:
      a: {words: {u1: UART1, u2: UART2}}
      b: {bits: {2: receiver, 7: displayport}, note: from the maker}
      c: text
      d: text
    gives: {"ports.{a}.functions": b}
  - line: "leg {n} on {pin} by {kind}"
    cells: {n: {integer: {offset: 1}}, pin: {pin: "P{port}{number}"}, kind: text}
    gives: {"outputs.{n}.pin": pin}
  - line: "show {el} {spot}"
    cells:
      el: {words: {volts: battery_voltage, timer: flight_timer}}
      spot: {packed: {column: {bits: 0-5}, row: {bits: 6-10}, rest: {bits: "11"}}}
    gives: {"osd.elements.{el}.column": spot.column, "osd.elements.{el}.row": spot.row}
settings:
  volts.warn: {is: battery.cell_warn_v, decimal: 0.01, range: [3.0, 4.2]}
  screen: {is: osd.drive, words: {camera: chip}}
  checks: {is: arming.checks, flag: }
  amps: text
"""
DUMP = """link u1 does 4 at 115200 as full
link u2 does 0 at 9600 as half
link u4 does 1 at 115200 as full
leg 0 on PB6 by pulse
leg 1 on PB7 by pulse
show volts 2090
show timer 71
show limits 2119
volts.warn := 330
screen := camera
checks := on
amps := 20
"""


def desk_of(text: str = HAND, dump: str = DUMP) -> Desk:
    return Desk(text, dump)


def _only(taught: Taught) -> Outcome:
    assert len(taught.study.outcomes) == 1
    return taught.study.outcomes[0]


# Lessons that fit what is there


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport"),
        ("leg 1 on PB7", "leg 1 on PA3", "outputs.2.pin = PA3"),
        ("timer 71", "timer 72", "osd.elements.flight_timer.column = 8"),
        (":= 330", ":= 350", "battery.cell_warn_v = 3.5"),
        ("checks := on", "checks := off", "arming.checks = no"),
    ],
)
def test_a_lesson_that_the_dialect_reads_right_settles_at_once_and_changes_nothing_else(
    old: str, new: str, told: str
) -> None:
    desk = desk_of()
    taught = desk.lesson(old, new, told)
    assert _only(taught).status is Status.SETTLED
    before, _, _ = desk.text.partition("lessons:")
    assert before.rstrip() == HAND.rstrip()


def test_a_mask_is_extended_by_a_new_word() -> None:
    desk = desk_of()
    taught = desk.lesson("u2 does 0", "u2 does 64", "ports.UART2.functions += telemetry")
    assert _only(taught).status is Status.SETTLED
    assert "b: {bits: {2: receiver, 7: displayport, 6: telemetry}, note: from the maker}" in desk.text
    assert desk.value("ports.UART2.functions") == ("telemetry",)


def test_a_table_is_extended_by_a_new_word() -> None:
    desk = desk_of()
    assert _only(desk.lesson("camera", "serial", "osd.drive = displayport")).status is Status.SETTLED
    assert "words: {camera: chip, serial: displayport}" in desk.text


def test_a_keys_table_is_extended_by_a_new_line() -> None:
    desk = desk_of()
    told = "osd.elements.altitude.column = 8"
    assert _only(desk.lesson("limits 2119", "limits 2120", told)).status is Status.SETTLED
    assert "el: {words: {volts: battery_voltage, timer: flight_timer, limits: altitude}}" in desk.text


def test_what_the_dialect_says_is_not_asked() -> None:
    taught = desk_of().lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    asked = [one.text for one in _only(taught).questions]
    assert not any("receiver" in one or "line 'link u1" in one for one in asked)
    assert any("link u4" in one for one in asked)  # of u4 and bit 0 it says nothing


def test_another_path_of_the_same_lines_has_the_keys_that_the_dialect_knows() -> None:
    desk = desk_of()
    taught = desk.lesson("u2 does 0 at 9600", "u2 does 0 at 57600", "ports.UART2.rate_baud = 57600 was 9600")
    assert _only(taught).status is Status.SETTLED
    assert [key.cell for key in _only(taught).chosen.keys] == ["a"]
    assert desk.value("ports.UART1.rate_baud") == 115200
    assert desk.value("ports.UART1.functions") == ("receiver",)


def test_a_new_field_stands_beside_those_that_the_dialect_has() -> None:
    desk = desk_of()
    desk.lesson("timer 71", "timer 2119", "osd.elements.flight_timer.shown = yes")
    desk.lesson("volts 2090", "volts 42", "osd.elements.battery_voltage.shown = no")
    assert desk.value("osd.elements.flight_timer.shown") is True
    assert desk.value("osd.elements.flight_timer.column") == 7
    assert desk.value("osd.elements.battery_voltage.row") == 0


def test_what_is_right_so_far_is_noted_and_no_evidence() -> None:
    desk = desk_of(dump=DUMP.replace("amps := 20", "amps := 2"))
    taught = desk.lesson("amps := 2", "amps := 3", "receiver.channels = 8 was 7")
    assert _only(taught).status is Status.AGREED
    assert f'amps: {{is: receiver.channels, integer: {{offset: 5}}, note: "{SO_FAR}"}}' in desk.text
    taught = desk.lesson("amps := 3", "amps := 7", "receiver.channels = 16")
    assert not taught.refused
    assert _only(taught).status is Status.SETTLED
    assert "amps: {is: receiver.channels, words: {2: 7, 3: 8, 7: 16}}" in desk.text


# Lessons that contradict it


def test_a_lesson_against_an_entry_names_the_entry_and_changes_nothing() -> None:
    desk = desk_of()
    taught = desk.lesson("u2 does 0", "u2 does 64", "ports.UART2.functions += displayport")
    assert taught.refused
    entry, lesson = _only(taught).against
    assert isinstance(entry, Entry)
    assert "'b' of 'link {a} does {b} at {c} as {d}'" in entry.said
    assert lesson is taught.lesson
    assert desk.text == HAND


def test_a_lesson_on_another_line_than_the_entrys_names_the_entry() -> None:
    taught = desk_of().lesson("amps := 20", "amps := 35", "battery.cell_warn_v = 3.5")
    assert taught.refused
    assert "volts.warn" in _only(taught).against[0].said


def test_a_path_that_is_read_already_is_not_read_from_a_second_setting() -> None:
    known = "volts.warn: {is: battery.cell_warn_v, decimal: 0.01, range: [3.0, 4.2]}"
    desk = desk_of(HAND.replace(known, "volts.warn: text"))
    assert not desk.lesson("volts.warn := 330", "volts.warn := 350", "battery.cell_warn_v = 3.5").refused
    taught = desk.lesson("amps := 20", "amps := 36", "battery.cell_warn_v = 3.6")
    assert taught.refused
    out = next(one for one in taught.study.outcomes if one.status is Status.REFUTED)
    assert "volts.warn" in out.against[0].said
    assert out.against[1] == taught.lesson


def test_a_lesson_wins_against_what_a_draft_has_guessed() -> None:
    drafted = HAND.replace(
        "  volts.warn:", "  # settled: 3.3 in the sheet; doubt: other settings hold 330 too\n  volts.warn:"
    )
    desk = desk_of(drafted)
    taught = desk.lesson("amps := 20", "amps := 35", "battery.cell_warn_v = 3.5 was 2")
    assert not taught.refused
    assert _only(taught).chosen.spot.name == "amps"
    assert desk.value("battery.cell_warn_v") == 3.5
    assert any("volts.warn" in note for note in taught.notes)
    again = HAND.replace("      b: {bits", "      # settled: the sheet's jobs\n      b: {bits")
    desk = desk_of(again)
    taught = desk.lesson("u2 does 0", "u2 does 64", "ports.UART2.functions += displayport")
    assert not taught.refused
    desk.lesson("u4 does 1", "u4 does 65", "ports.UART4.functions += displayport")
    assert desk.value("ports.UART4.functions") == ("bit0", "displayport")


def test_lessons_that_back_each_other_win_against_an_entry_that_one_of_them_backs() -> None:
    desk = desk_of()
    desk.lesson("checks := on", "checks := off", "arming.checks = no")
    taught = desk.lesson("checks := off", "checks := 2", "arming.checks = yes")
    assert not taught.refused
    assert desk.value("arming.checks") is True


# Questions that can be answered


def test_rates_that_are_asked_for_are_rates() -> None:
    bare = HAND.replace("a: {words: {u1: UART1, u2: UART2}}", "a: text").replace(
        '    gives: {"ports.{a}.functions": b}\n', ""
    )
    taught = desk_of(bare).lesson(
        "u2 does 0 at 9600", "u2 does 0 at 57600", "ports.UART2.rate_baud = 57600 was 9600"
    )
    numbers = [
        one.value
        for out in taught.study.outcomes
        for one in out.questions
        if isinstance(one.value, int) and one.path[-1] == "rate_baud"
    ]
    assert set(numbers) <= set(values_of(parse("ports.UART2.rate_baud"))) - {9600, 57600}


@pytest.mark.parametrize(
    ("path", "value", "allowed"),
    [
        ("receiver.channels", 16, True),
        ("receiver.channels", 65, False),
        ("receiver.channels", 0, False),
        ("receiver.channels", 8.5, False),
        ("ports.UART1.functions", ("gnss",), True),
        ("ports.UART1.functions", ("tea",), False),
        ("osd.drive", "chip", True),
        ("osd.drive", "paper", False),
        ("nowhere.at.all", 1, False),
    ],
)
def test_what_the_vocabulary_allows(path: str, value: int | str | tuple[str, ...], allowed: bool) -> None:
    assert may_be(parse(path), value) is allowed


# Dumps that differ in too much


def test_dumps_that_differ_in_more_than_a_change_are_refused_at_once() -> None:
    many = "".join(f"hum{n} := {n}\n" for n in range(2000))
    desk = desk_of(dump=DUMP + many)
    after = DUMP + "".join(f"hum{n} := {n + 1}\n" for n in range(2000))
    placed = read_yaml(desk.text, "own.yaml")
    with pytest.raises(Refusal, match="2000 lines differ") as refused:
        teach(placed, desk._read(desk.dump), desk._read(after), [fact("battery.cell_warn_v = 3.5")])
    assert "one change" in refused.value.mend
    assert CHANGED_MOST < 100
