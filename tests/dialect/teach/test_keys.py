"""Keys: which of its kind a line is, said the same of all that the line gives."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.teach.settle import Status
from cfgaudit.model.refusal import Refusal
from tests.dialect.teach.desk import Desk

NUMBERED = """dialect: own
family: columns
header: "own {firmware.version}"
separator: ","
forms:
  - line: "LINK{n},{work},{pace}"
    key: [n]
    cells: {n: port, work: {bits: {2: receiver, 7: displayport}}, pace: text}
    gives: {"ports.{n}.functions": work}
  - line: "KNOB{s},{d},{c},{low},{high}"
    key: [s]
    cells: {s: text, d: text, c: text, low: text, high: text}
settings:
  TITLE: text
"""
DUMP = """LINK4,4,1152
LINK6,0,96
KNOB1,7,4,12,20
KNOB2,3,6,30,34
KNOB3,9,4,26,36
TITLE,"mud lark"
"""


def desk_of(text: str = NUMBERED, dump: str = DUMP) -> Desk:
    return Desk(text, dump)


# A firmware that numbers its ports by itself


def test_a_port_that_the_firmware_numbers_is_not_taught_by_the_chips_name() -> None:
    desk = desk_of()
    with pytest.raises(Refusal) as refused:
        desk.lesson("LINK6,0,96", "LINK6,0,576", "ports.UART7.rate_baud = 57600")
    assert refused.value.what == (
        "'ports.UART7.rate_baud = 57600' names a port of the chip, but this firmware numbers its ports "
        "itself: the line that changed is 'LINK6,0,576'"
    )
    assert refused.value.mend == (
        "say 'ports.PORT6.rate_baud = 57600', and write board.ports.UART7.number: 6 into the build sheet"
    )


def test_where_more_lines_changed_the_numbers_are_named() -> None:
    desk = desk_of(dump=DUMP + "LINK9,0,96\n")
    with pytest.raises(Refusal) as refused:
        desk.lesson("0,96", "0,576", "ports.UART7.rate_baud = 57600")
    assert "say which of PORT6, PORT9 it was instead of UART7" in refused.value.mend


def test_its_number_is_taught_and_read_by_any_board() -> None:
    desk = desk_of()
    assert not desk.lesson("LINK6,0,96", "LINK6,0,576", "ports.PORT6.rate_baud = 57600 was 9600").refused
    assert desk.value("ports.PORT4.rate_baud") == 115200
    assert "n: port" in desk.text


# One cell, one table


def test_two_paths_of_a_line_do_not_call_it_by_two_names() -> None:
    desk = desk_of(
        NUMBERED.replace("n: port", "n: text").replace('    gives: {"ports.{n}.functions": work}\n', "")
    )
    assert not desk.lesson("LINK6,0,96", "LINK6,0,576", "ports.UART7.rate_baud = 57600 was 9600").refused
    assert not desk.lesson("LINK4,4,", "LINK4,132,", "ports.UART5.functions += displayport").refused
    text = desk.text
    taught = desk.lesson("LINK6,0,", "LINK6,4,", "ports.UART6.functions += receiver")
    assert taught.refused
    out = next(one for one in taught.study.outcomes if one.status is Status.REFUTED)
    assert "'n' says the * (4 is UART5, 6 is UART7)" in out.against[0].said
    assert out.against[1] == taught.lesson
    assert desk.text == text
    assert not desk.lesson("LINK6,0,", "LINK6,4,", "ports.UART7.functions += receiver").refused
    assert desk.value("ports.UART7.rate_baud") == 57600


def test_one_lesson_does_not_call_a_line_by_two_names() -> None:
    desk = desk_of(
        NUMBERED.replace("n: port", "n: text").replace('    gives: {"ports.{n}.functions": work}\n', "")
    )
    facts = "ports.UART7.rate_baud = 57600 was 9600", "ports.UART6.functions += receiver"
    taught = desk.lesson("LINK6,0,96", "LINK6,4,576", *facts)
    assert taught.refused
    out = next(one for one in taught.study.outcomes if one.status is Status.REFUTED)
    assert out.against == (taught.lesson,)


def test_a_row_with_two_keys_is_taught_from_its_parts_together() -> None:
    desk = desk_of()
    lessons = [
        ("KNOB1,7,4,12,20", "KNOB1,7,5,12,20", "modes.arm.1.channel = 10 was 9"),
        ("KNOB2,3,6,30,34", "KNOB2,3,6,28,34", "modes.beeper.2.from_us = 1600 was 1650"),
        ("KNOB3,9,4,26,36", "KNOB3,9,4,24,36", "modes.self_level.3.from_us = 1500 was 1550"),
        ("KNOB3,9,4,24,36", "KNOB3,9,4,24,34", "modes.self_level.3.to_us = 1750 was 1800"),
        ("KNOB1,7,5,12,20", "KNOB1,7,5,12,21", "modes.arm.1.to_us = 1425 was 1400"),
        ("KNOB2,3,6,28,34", "KNOB2,3,7,28,34", "modes.beeper.2.channel = 12 was 11"),
    ]
    for old, new, told in lessons:
        assert not desk.lesson(old, new, told).refused, told
    assert "low: {integer: {offset: 900, by: 25}}" in desk.text
    assert desk.value("modes.arm.1.from_us") == 1200
    assert desk.value("modes.beeper.2.to_us") == 1750
    assert desk.value("modes.beeper.2.channel") == 12
