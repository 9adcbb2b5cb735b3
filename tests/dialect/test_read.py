"""Statements → model: every line finds its form, its scope and its place, or is told of."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from cfgaudit.dialect.read import pasted
from cfgaudit.dialect.reading import Reading
from cfgaudit.dump.statement import Kind
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import parse
from cfgaudit.model.place import Default, Place
from cfgaudit.model.refusal import Refusal
from tests.dialect.dumps import KNOT_FULL, TEAL_FULL
from tests.dialect.small import KNOT, TEAL, compiled, leaves, read, typed
from tests.dump.texts import ANYTHING

TEAL_DIALECT, KNOT_DIALECT = compiled(TEAL), compiled(KNOT)


def teal(*rows: str) -> Reading:
    return read(TEAL_DIALECT, "~ teal 1.0 on Reed, all", *rows)


def knot(*rows: str) -> Reading:
    return read(KNOT_DIALECT, "; knot 2.3 for Sedge", "; everything is told", *rows)


def doubts(reading: Reading) -> list[tuple[str, str, str, str]]:
    return [(one.kind, one.setting, one.text, one.why) for one in reading.doubts]


def settings_of(reading: Reading) -> dict[str, object]:
    return {name: leaf.value for name, leaf in reading.model.settings.items()}


def test_a_whole_dump_of_the_console_family() -> None:
    reading = teal(*TEAL_FULL.splitlines()[1:])
    assert not reading.unknown
    assert not reading.doubts
    assert reading.understood == reading.dump.settings == 30
    assert leaves(reading, "ports") == {
        "ports.USB.functions": ("console-link",),
        "ports.USB.rate_baud": 115200,
        "ports.UART1.functions": ("receiver",),
        "ports.UART1.rate_baud": 9600,
        "ports.UART2.functions": ("telemetry",),
        "ports.UART2.rate_baud": 57600,
    }
    assert leaves(reading, "outputs") == {
        "outputs.1.motor": 1,
        "outputs.1.pin": "PB6",
        "outputs.2.motor": 2,
        "outputs.2.pin": "PB7",
        "outputs.3.use": "led-strip",
        "outputs.3.pin": "none",
    }
    assert leaves(reading, "modes") == {
        "modes.arm.1.channel": 5,
        "modes.arm.1.from_us": 1700,
        "modes.arm.1.to_us": 2100,
        "modes.self_level.2.channel": 6,
        "modes.self_level.2.from_us": 900,
        "modes.self_level.2.to_us": 1300,
    }
    assert leaves(reading, "osd") == {
        "osd.drive": "displayport",
        "osd.elements.battery_voltage.column": 2,
        "osd.elements.battery_voltage.row": 9,
        "osd.elements.battery_voltage.shown": False,
        "osd.elements.battery_voltage.width": 6,
        "osd.elements.warnings.column": 5,
        "osd.elements.warnings.row": 2,
        "osd.elements.warnings.shown": True,
        "osd.elements.warnings.width": 12,
    }
    assert leaves(reading, "battery") == {"battery.cell_warn_v": 3.5, "battery.cell_full_v": 4.2}
    assert leaves(reading, "identity") == {"identity.craft_name": "two words"}
    assert leaves(reading, "arming") == {"arming.checks": False}
    assert leaves(reading, "profiles") == {"profiles.1.grip": 44, "profiles.2.grip": 45, "profiles.active": 1}
    assert settings_of(reading) == {
        "song low": "1 2 3",
        "talks": "a, b",
        "seed": "0x1F",
        "budget": "33",
        "tune 1 / word": "one",
        "tune 1 / bend roll": "0 40 100",
        "tune 2 / word": "two",
        "tune 2 / bend roll": "0 60 100",
    }


def test_a_whole_dump_of_the_sectioned_family() -> None:
    reading = knot(*KNOT_FULL.splitlines()[2:])
    assert not reading.unknown
    assert not reading.doubts
    assert reading.understood == reading.dump.settings == 19
    assert leaves(reading) == {
        "identity.craft_name": "two words",
        "profiles.active": 2,
        "ports.USB.functions": ("console-link",),
        "ports.USB.inverted": False,
        "ports.USB.rates_baud.console-link": 115200,
        "ports.UART1.functions": ("receiver", "gnss"),
        "ports.UART1.inverted": True,
        "ports.UART1.rates_baud.console-link": 115200,
        "ports.UART1.rates_baud.receiver": 420000,
        "modes.arm.0.channel": 5,
        "modes.arm.0.from_us": 1700,
        "modes.arm.0.to_us": 2100,
        "pin_setup.PB6.timer": 3,
        "pin_setup.PB6.dma": "1/3",
        "osd.rows": 20,
        "osd.columns": 53,
        "osd.drive": "displayport",
        "profiles.1.push": 30,
        "profiles.2.push": 40,
    }
    assert settings_of(reading) == {"link A / rest": "high", "link B / rest": "low"}


def test_each_leaf_has_its_place() -> None:
    reading = teal("", '  put called := "two words"', "leg 3 spins m2 on B6", "show volts 37")
    places = {path: leaf.origin for path, leaf in reading.model.leaves.items()}
    assert places[parse("identity.craft_name")] == Place("dump.txt", 3, 17)
    assert places[parse("outputs.3.motor")] == Place("dump.txt", 4, 13)
    assert places[parse("outputs.3.pin")] == Place("dump.txt", 4, 19)
    assert places[parse("osd.elements.battery_voltage.row")] == Place("dump.txt", 5, 12)
    assert places[parse("limits.ports_with_jobs")] == Default("teal")
    assert reading.givers[parse("outputs.3.pin")].label == "leg 3"


# Out of range, unknown words


@pytest.mark.parametrize(
    ("row", "kind", "setting", "text", "why"),
    [
        ("line l1 jobs 0x4 pace 300", "range", "line l1", "300", "is outside 1200 to 115200"),
        ("line l1 jobs 0x8 pace 9600", "word", "line l1", "0x8", "sets bit3, unknown here"),
        ("line l1 jobs 8 pace 9600", "form", "line l1", "8", "is not a hexadecimal number such as 0x1F"),
        ("line l9 jobs 0x4 pace 9600", "word", "line l9", "l9", "is not one of l1, l2, lusb"),
        ("lever 1 hop 1 900 1000", "word", "lever 1", "hop", "is not one of idle, go, flat"),
        ("lever 1 go 20 900 1000", "range", "lever 1", "20", "means 24 and is outside 5 to 12"),
        ("leg 1 spins m1 on Z9", "form", "leg 1", "Z9", "is not a pin such as B6"),
        ("show volts 1248", "range", "show volts", "1248", "holds the row 14, which is outside 0 to 12"),
        ("show volts 2048", "word", "show volts", "2048", "has bits that the dialect does not know"),
        ("song a 1 200 3", "range", "song a", "1 200 3", "holds 200, which is outside 0 to 99"),
        ("put volts.warn := 500", "range", "volts.warn", "500", "means 5 and is outside 3 to 4.2"),
        ("put screen := both", "word", "screen", "both", "is not one of camera, serial, blank"),
        ("put screen :=", "word", "screen", "", "is not one of camera, serial, blank"),
        ("put checks := maybe", "word", "checks", "maybe", "is not one of no, n, yes, y"),
        ("put pair := xyz", "form", "pair", "xyz", "does not look like [0-9a-f]{4}"),
        ("tune 7", "range", "tune 7", "7", "is outside 1 to 3"),
    ],
)  # fmt: skip
def test_a_cell_that_is_doubted(row: str, kind: str, setting: str, text: str, why: str) -> None:
    reading = teal(row)
    assert doubts(reading) == [(kind, setting, text, why)]
    column = row.rindex(text) + 1 if text else 12
    assert reading.doubts[0].place == Place("dump.txt", 2, column)
    assert not reading.unknown


def test_a_value_out_of_range_is_still_what_the_dump_says() -> None:
    assert leaves(teal("put volts.warn := 500")) == {"battery.cell_warn_v": 5.0}
    assert leaves(teal("tune 7", "put grip := 999")) == {"profiles.active": 7, "profiles.7.grip": 999}


def test_bits_without_a_word_are_kept() -> None:
    assert leaves(teal("line l1 jobs 0xC pace 9600"), "ports.UART1.functions") == {
        "ports.UART1.functions": ("receiver", "bit3")
    }


def test_what_cannot_be_read_is_kept_as_text() -> None:
    """So that a comparison sees it change."""
    reading = teal(
        "line l9 jobs 0x4 pace 9600", "leg 1 spins m1 on Z9", "lever 1 hop 1 900 1000", "put pair := xyz"
    )
    assert leaves(reading) == {"outputs.1.motor": 1}
    assert settings_of(reading) == {
        "line l9 jobs": "0x4",
        "line l9 rate": "9600",
        "leg 1 pin": "Z9",
        "lever 1 mode": "hop",
        "lever 1 channel": "1",
        "lever 1 low": "900",
        "lever 1 high": "1000",
        "pair": "xyz",
    }


def test_a_name_that_cannot_stand_in_a_path_is_doubted() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "forms: [{line: 'tap {use} {pin}', cells: {use: text, pin: pin}, gives: {'pins.{use}': pin}}]\n"
    )
    reading = read(made, "tap a.b PB6", "tap c PB7", 'tap "" PB8')
    assert leaves(reading) == {"pins.c": "PB7"}
    assert [one[::3] for one in doubts(reading)] == [("form", "cannot stand in a path")] * 2
    assert settings_of(reading) == {"tap a.b pin": "PB6", 'tap "" pin': "PB8"}


# Rows that say none


def test_a_row_that_says_none_gives_nothing() -> None:
    reading = teal("lever 1 idle 1 900 900")
    assert leaves(reading) == {}
    assert settings_of(reading) == {}
    assert not reading.doubts
    assert reading.understood == 1


def test_a_value_that_says_none_is_a_value() -> None:
    assert leaves(teal("leg 1 spins m1 on off")) == {"outputs.1.motor": 1, "outputs.1.pin": "none"}


# Scopes


def test_a_selector_sets_the_scope_of_the_lines_after_it() -> None:
    reading = teal(
        "tune 1", "put grip := 1", "tune 2", "put grip := 2", "put volts.warn := 350", "put grip := 3"
    )
    assert leaves(reading) == {
        "profiles.1.grip": 1,
        "profiles.2.grip": 3,
        "profiles.active": 2,
        "battery.cell_warn_v": 3.5,
    }


def test_a_setting_of_a_scope_is_unknown_outside_of_it() -> None:
    reading = teal("put grip := 1", "bend roll 1 2")
    assert [one.shown for one in reading.unknown] == ["put grip := 1", "bend roll 1 2"]


def test_in_a_section_only_its_own_settings_are_known() -> None:
    reading = knot("[screen]", "craft = x", "text-by = line", "push = 3")
    assert [one.shown for one in reading.unknown] == ["craft = x", "push = 3"]
    assert leaves(reading) == {"osd.drive": "displayport"}


def test_a_section_that_is_unknown_takes_its_lines_with_it() -> None:
    reading = knot("[lamps]", "craft = x", "text-by = line", "[screen]", "text-by = line")
    assert [one.shown for one in reading.unknown] == ["[lamps]", "craft = x", "text-by = line"]
    assert reading.understood == 1
    assert leaves(reading) == {"osd.drive": "displayport"}


def test_what_stands_under_a_scope_that_cannot_be_read_gives_no_path() -> None:
    reading = knot("[link Q]", "carries = desk", "rest = low", "rate.desk = 9600")
    assert leaves(reading) == {}
    assert doubts(reading) == [("word", "link Q", "Q", "is not one of A, B, C")]
    assert settings_of(reading) == {
        "link Q / carries": "desk",
        "link Q / rest": "low",
        "link Q / rate.desk baud": "9600",
    }


def test_names_and_words_of_a_setting_are_taken_as_they_are() -> None:
    reading = teal(
        "put Volts.warn := 350", "put volts.warn = 350", "volts.warn := 350", "put screen := Serial"
    )
    assert len(reading.unknown) == 3
    assert len(reading.doubts) == 1


def test_strays_and_unknown_lines_are_told_of() -> None:
    reading = teal("(", "put nothing := 3", "go home", 'song "a', "# said")
    assert [(one.kind, one.line) for one in reading.unknown] == [
        (Kind.STRAY, 2),
        (Kind.ASSIGNMENT, 3),
        (Kind.ROW, 4),
        (Kind.STRAY, 5),
    ]
    assert reading.understood == 0


# The last of several lines


def test_of_lines_with_one_key_the_last_holds() -> None:
    reading = teal("line l1 jobs 0x1 pace 9600", "line l2 jobs 0x4 pace 9600", "line l1 jobs 0x4 pace 9600")
    assert leaves(reading, "ports.UART1.functions") == {"ports.UART1.functions": ("receiver",)}
    assert [(one.first.line, one.last.line) for one in reading.repeats] == [(2, 4)]


def test_a_line_that_comes_again_as_it_was_is_no_repeat() -> None:
    assert not teal("put screen := serial", "put  screen :=  serial").repeats


def test_each_change_of_mind_is_a_repeat() -> None:
    reading = teal("put screen := serial", "put screen := camera", "put screen := serial")
    assert [(one.first.line, one.last.line) for one in reading.repeats] == [(2, 3), (3, 4)]


def test_shapes_of_one_row_replace_each_other() -> None:
    reading = teal("leg 1 spins m1 on B6", "leg 2 spins m2 on B7", "leg 1 serves lamp on B6")
    assert leaves(reading) == {
        "outputs.1.use": "led-strip",
        "outputs.1.pin": "PB6",
        "outputs.2.motor": 2,
        "outputs.2.pin": "PB7",
    }
    assert [(one.first.line, one.last.line) for one in reading.repeats] == [(2, 4)]


def test_the_same_name_in_another_scope_is_another_setting() -> None:
    assert not teal("tune 1", "put grip := 1", "tune 2", "put grip := 2").repeats
    assert not knot("[link A]", "carries = desk", "[link B]", "carries = idle").repeats
    assert len(knot("[link A]", "carries = desk", "[link A]", "carries = idle").repeats) == 1


def test_a_form_without_key_stands_once() -> None:
    reading = knot("[range 0]", "acts = arm 0 1700 2100", "acts = call 1 900 1000")
    assert {path.split(".")[1] for path in leaves(reading)} == {"beeper"}


# Constants, private values, clashes


def test_a_constant_holds_where_the_dump_tells_of_its_subject() -> None:
    assert leaves(teal("show alerts 37"), "osd.elements.warnings")["osd.elements.warnings.width"] == 12
    assert "osd.elements.battery_voltage.width" not in leaves(teal("show alerts 37"))
    assert teal().model.at(parse("limits.ports_with_jobs")) == Leaf(3, Default("teal"))


def test_private_values_have_their_places() -> None:
    reading = teal("put pair := 00ff")
    assert reading.private == (("pair", Place("dump.txt", 2, 13)),)


@pytest.mark.parametrize("name", ["pin", "lock", "bolt"])
def test_a_private_setting_is_one_by_the_name_of_any_version(name: str) -> None:
    made = compiled(
        "dialect: own\nfamily: console\nheader: 'own {firmware.version}'\nremark: '#'\n"
        "settings: {pin: {text: , private: true}}\n"
        "renamed: {'2.0': {pin: lock}, '3.0': {lock: bolt}}\n"
    )
    reading = read(made, f"{name} = hidden")
    assert [reading.shown(one) for one in reading.dump.statements] == [f"{name} (private, not shown)"]


def test_of_many_mends_below_a_dump_the_last_wins_and_repeats_nothing() -> None:
    rows = [row for n in range(40) for row in ("~ cfgaudit mends", f"put budget := {n + 10}")]
    reading = read(compiled(TEAL), "~ teal 1.0 on Reed-405, all", *rows)
    assert (reading.model.settings["budget"].value, reading.repeats) == ("49", ())


def test_a_private_value_that_a_later_line_overrules_is_in_the_file_as_well() -> None:
    reading = teal("put pair := 00ff", "put pair := 1234")
    assert [place.line for _, place in reading.private] == [2, 3]
    assert {reading.shown(repeat.first) for repeat in reading.repeats} == {"pair (private, not shown)"}


@pytest.mark.parametrize("value", ['""', "nobody"])
def test_an_empty_value_and_a_default_tell_nothing(value: str) -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "settings: {pilot: {is: identity.pilot_name, text: , private: true, default: nobody}}\n"
    )
    assert read(made, f"pilot = {value}").private == ()
    assert len(read(made, "pilot = Ann").private) == 1


def test_paths_that_clash_are_laid_at_the_dialects_door() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "constants: {limits.x: 1}\n"
        "forms: [{line: 'a {b} {c}', cells: {b: text, c: integer}, gives: {'profiles.{b}.x': c}}]\n"
        "settings: {d: {is: profiles.active, integer: }}\n"
    )
    with pytest.raises(Refusal, match=r"profiles\.active\.x runs through profiles\.active") as refused:
        read(made, "d = 3", "a active 1")
    assert refused.value.place == Place("own.yaml", 1, 1)


# Lines typed on top of a dump


def test_lines_are_pasted_on_top() -> None:
    reading = pasted(
        teal("tune 1", "put grip := 1"), typed("put screen := serial", "put grip := 9", "tune 2")
    )
    assert leaves(reading) == {"profiles.1.grip": 1, "osd.drive": "displayport", "profiles.active": 2}
    assert [(one.file, one.line) for one in reading.unknown] == [("typed.txt", 2)]
    assert reading.model.at(parse("osd.drive")) == Leaf("displayport", Place("typed.txt", 1, 15))
    assert reading.understood == 2


def test_what_was_pasted_stays_when_more_is_pasted() -> None:
    reading = pasted(pasted(teal(), typed("put screen := serial")), typed("put volts.warn := 350"))
    assert leaves(reading) == {"osd.drive": "displayport", "battery.cell_warn_v": 3.5}


@pytest.mark.parametrize("dialect", [TEAL_DIALECT, KNOT_DIALECT], ids=["teal", "knot"])
@given(ANYTHING)
@settings(max_examples=40, deadline=None)
def test_any_text_is_read_and_every_line_accounted_for(dialect: object, text: str) -> None:
    made = TEAL_DIALECT if dialect is TEAL_DIALECT else KNOT_DIALECT
    reading = read(made, *text.splitlines(), *TEAL_FULL.splitlines()[1:3])
    silent = (Kind.BLANK, Kind.REMARK, Kind.SECTION)
    known = [one for one in reading.dump.statements if one.kind not in silent and one not in reading.unknown]
    assert len(known) == reading.understood
    assert {entry.statement for entry in reading.entries} <= set(reading.dump.statements)
