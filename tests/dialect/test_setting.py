"""The settings of a line, and where another version has each."""

from __future__ import annotations

from cfgaudit.dialect.counterpart import NoSeat, floor
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.row import Desk, line
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Setting, Whole, is_whole, settings
from tests.audit.bench import sample
from tests.compare.carry.wren import NEW, OLD, wren


def every(reading: Reading) -> dict[str, Setting]:
    return {
        one.label: one
        for at, entry in reading.in_force.items()
        for one in settings(at, entry, whole=is_whole(entry.form))
    }


def test_each_cell_that_can_be_set_is_a_setting() -> None:
    made = every(wren(OLD))
    assert made["wire w1 jobs"].value == ("receiver",)
    assert made["wire w1 rate"].paths == (("ports", "UART1", "rate_baud"),)
    assert (made["spot volts row"].value, made["spot volts shown"].value) == (4, False)
    assert made["whole"].paths == ()


def test_a_line_whose_cells_hang_together_is_one_setting() -> None:
    one = every(wren(OLD.replace("knob 1 idle 900 900", "knob 1 go 1700 2100")))["knob 1"]
    assert one.value == Whole((("mode", "", "arm"), ("low", "", 1700), ("high", "", 2100)))
    assert one.paths == (("modes", "arm", "1", "from_us"), ("modes", "arm", "1", "to_us"))
    assert every(wren(OLD))["knob 1"].paths == ()  # idle: it is of no mode


def test_what_cannot_be_taken_at_its_word_is_a_setting_with_a_doubt() -> None:
    made = every(wren(OLD.replace("idle := 55", "idle := 999").replace("blink := slow", "blink := never")))
    assert made["idle"].doubt == "is outside 0 to 20"
    assert (made["blink"].value, made["blink"].doubt) == ("never", "is not one of slow, fast")


def test_a_private_setting_is_never_shown() -> None:
    one = every(wren(OLD.replace('secret := ""', "secret := abc123")))["secret"]
    assert "abc123" not in one.written + one.line


def test_every_setting_of_a_dump_has_a_seat_there() -> None:
    for reading in (wren(OLD), wren(NEW), sample("otter/known-good.txt"), sample("vole/known-good.txt")):
        ground, desk = floor(reading), Desk(reading)
        for at, entry in reading.in_force.items():
            for whole in {is_whole(entry.form), True}:
                for one in settings(at, entry, whole=whole):
                    seat = ground.seat(one)
                    assert isinstance(seat, Seat), one.label
                    assert seat.wrong(one.value) == one.doubt
                    row = seat.row(reading, seat.wishes(one.value))
                    assert (
                        line(desk, row).split()
                        == entry.statement.text.split("  ;")[0].split("  ~")[0].split()
                    )


def test_another_version_has_a_setting_under_its_own_name() -> None:
    one = floor(wren(NEW)).seat(every(wren(OLD))["lean.most"])
    assert isinstance(one, Seat)
    assert one.name == "tilt.most"
    assert floor(wren(NEW)).seat(every(wren(OLD))["tilt"]) == NoSeat()
