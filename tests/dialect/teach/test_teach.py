"""Teaching a dialect by lessons: what is settled, what is said, what stays in the file."""

from __future__ import annotations

from random import Random

import pytest

from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dialect.teach.fact import fact
from cfgaudit.dialect.teach.lesson import Lesson, kept_lessons
from cfgaudit.dialect.teach.settle import Status
from cfgaudit.dialect.teach.teach import Taught, proofs, teach
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from tests.dialect.teach.firmware import Start, firmware, marked, schooled

DRAFT = """dialect: own   # mine
family: console
header: "own {firmware.version}"
assignment: "{name} := {value}"
forms:
  # the lines
  - line: "link {a} does {b} at {c}"
    cells: {a: text, b: text, c: text}  # guessed
  - line: "show {el} {spot}"
    cells:
      el: text
      spot:
        text:  # a number
settings:
  volts.warn: text  # what?
  screen: {text: }
"""
DUMP = """link u1 does 4 at 115200
link u2 does 0 at 9600
link u4 does 1 at 115200
show volts 2090
show timer 71
volts.warn := 330
screen := camera
"""


class Desk:
    """A dialect and a dump, changed from lesson to lesson."""

    def __init__(self, text: str = DRAFT, dump: str = DUMP) -> None:
        self.text, self.dump = text, dump

    def lesson(self, old: str, new: str, *facts: str) -> Taught:
        after = self.dump.replace(old, new)
        taught = teach(
            read_yaml(self.text, "own.yaml"), _read(self.dump), _read(after), [fact(one) for one in facts]
        )
        if not taught.refused:
            self.text, self.dump = taught.text, after
        return taught


def _read(text: str) -> Dump:
    return read_statements(Text("dump.txt", text, "utf-8", mark=False), "console")


def _status(taught: Taught) -> dict[str, Status]:
    return {".".join(one.shape): one.status for one in taught.study.outcomes}


def test_one_lesson_leaves_a_mask_and_a_code_open() -> None:
    taught = Desk().lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    assert _status(taught) == {"ports.*.functions": Status.OPEN}
    said = [one.text for one in taught.study.outcomes[0].questions]
    assert "set UART2 to carry console-link as well, dump again" in said


def test_a_second_lesson_settles_a_mask() -> None:
    desk = Desk()
    desk.lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    taught = desk.lesson("u1 does 4", "u1 does 132", "ports.UART1.functions += displayport")
    assert _status(taught) == {"ports.*.functions": Status.SETTLED}
    assert "b: {bits: {7: displayport}}" in desk.text


def test_remarks_and_layout_stay() -> None:
    desk = Desk()
    desk.lesson(":= 330", ":= 350", "battery.cell_warn_v = 3.5")
    desk.lesson("timer 71", "timer 2119", "osd.elements.flight_timer.shown = yes")
    for remark in ("# mine", "# the lines", "# guessed", "# what?", "# a number"):
        assert remark in desk.text
    assert "volts.warn: {is: battery.cell_warn_v, decimal: 0.01}  # what?" in desk.text


def test_lessons_are_kept_and_proved_again() -> None:
    desk = Desk()
    desk.lesson("camera", "serial", "osd.drive = displayport was chip")
    desk.lesson(":= 330", ":= 350", "battery.cell_warn_v = 3.5")
    placed = read_yaml(desk.text, "own.yaml")
    told = list(proofs(own_dialect(placed), kept_lessons(placed)))
    assert [(one.fact.text, one.given, one.wrong) for one in told] == [
        ("osd.drive = displayport was chip", True, ""),
        ("battery.cell_warn_v = 3.5", True, ""),
    ]


def test_a_contradiction_names_the_lessons_and_changes_nothing() -> None:
    desk = Desk()
    desk.lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    desk.lesson("u1 does 4", "u1 does 132", "ports.UART1.functions += displayport")
    before = desk.text
    taught = desk.lesson("u4 does 1 ", "u4 does 65 ", "ports.UART4.functions += displayport")
    assert taught.refused
    assert 3 in [one.number for one in taught.study.outcomes[0].against if isinstance(one, Lesson)]
    assert desk.text == taught.text == before


def test_lines_that_no_fact_explains_are_told_of() -> None:
    desk = Desk(dump=DUMP + "hum 3\n")
    desk.lesson(":= 330", ":= 350", "battery.cell_warn_v = 3.5")
    after = desk.dump.replace(":= 350", ":= 340").replace("u1 does 4", "u1 does 5")
    facts = [fact("battery.cell_warn_v = 3.4")]
    taught = teach(read_yaml(desk.text, "own.yaml"), _read(desk.dump), _read(after), facts)
    extra = [line.after for lesson, line in taught.study.extra if lesson.number == taught.lesson.number]
    assert extra == ["link u1 does 5 at 115200"]


def test_dumps_that_do_not_differ_are_refused() -> None:
    with pytest.raises(Refusal, match="do not differ"):
        Desk().lesson("nothing of it", "at all", "battery.cell_warn_v = 3.5")


def test_a_setting_that_the_dialect_does_not_have_is_added() -> None:
    desk = Desk(dump=DUMP + "amps.full := 20\n")
    desk.lesson("full := 20", "full := 25", "battery.capacity_mah = 2500 was 2000")
    assert "amps.full: {is: battery.capacity_mah, decimal: 100}" in desk.text


def test_what_the_builder_wrote_stays_while_lessons_leave_it_open() -> None:
    own = DRAFT.replace("b: text", "b: {bits: {7: displayport}}").replace(
        "a: text", "a: {words: {u2: UART2}}"
    )
    own = own.replace("  # guessed\n", '\n    gives: {"ports.{a}.functions": b}\n')
    desk = Desk(own)
    desk.lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    assert 'gives: {"ports.{a}.functions": b}' in desk.text


@pytest.mark.parametrize(
    "text",
    [
        "ports.UART4.functions += displayport",
        "ports.UART4.functions -= displayport, gnss",
        "battery.cell_warn_v = 3.5 was 3.3",
        "osd.elements.warnings.shown = yes",
    ],
)
def test_a_fact_says_itself(text: str) -> None:
    assert fact(text).text == text
    assert fact(fact(text).text) == fact(text)


@pytest.mark.parametrize(
    "text", ["", "ports", "ports.UART4.functions +=", "nowhere.at = 3", "osd.drive += x"]
)
def test_what_is_no_fact_is_refused(text: str) -> None:
    with pytest.raises(Refusal):
        fact(text)


@pytest.mark.parametrize("start", Start)
@pytest.mark.parametrize("seed", range(1, 5))
def test_what_is_settled_is_never_wrong(start: Start, seed: int) -> None:
    """Drafted and taught, a firmware's other dumps are read exactly, or what is open is said."""
    dice = Random(seed)
    made = firmware(dice, numbered=start is Start.SHEET)
    school = schooled(made, dice, start)
    mark = marked(made, school, dice, 100)
    assert not school.refused
    assert not mark.wrong & mark.settled
    assert not mark.silent
    assert len(mark.settled) > 5


TWO_WAYS = """
  volts.warn:  # what?
    - {FIRST, until: "2"}
    - {SECOND, since: "2"}
"""


def test_what_is_written_in_two_ways_is_left_to_a_hand() -> None:
    ways = TWO_WAYS.replace("FIRST", "decimal: 0.01").replace("SECOND", "decimal: 0.001")
    text = DRAFT.replace("\n  volts.warn: text  # what?\n", ways)
    desk = Desk(text)
    desk.lesson("u2 does 0", "u2 does 128", "ports.UART2.functions += displayport")
    assert '- {decimal: 0.001, since: "2"}' in desk.text  # what is not taught stays
    with pytest.raises(Refusal, match="in one way or another") as refused:
        desk.lesson("volts.warn := 330", "volts.warn := 350", "battery.cell_warn_v = 3.5 was 3.3")
    assert "by hand" in refused.value.mend


def test_what_both_ways_say_is_proved_by_a_lesson() -> None:
    told = "is: battery.cell_warn_v, decimal: 0.01"
    ways = TWO_WAYS.replace("FIRST", told).replace("SECOND", f"{told}, range: [3, 4]")
    desk = Desk(DRAFT.replace("\n  volts.warn: text  # what?\n", ways))
    taught = desk.lesson("volts.warn := 330", "volts.warn := 350", "battery.cell_warn_v = 3.5 was 3.3")
    assert not taught.refused
    assert ways.strip() in desk.text
    placed = read_yaml(desk.text, "own.yaml")
    (proof,) = proofs(own_dialect(placed), kept_lessons(placed))
    assert (proof.given, proof.wrong) == (True, "")
