"""Teaching in every family: sections, selectors, columns, new lines, several keys, several facts."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.teach.amend import amended
from cfgaudit.dialect.teach.settle import Status
from cfgaudit.dialect.teach.teach import Taught
from cfgaudit.model.placed import read_yaml
from tests.dialect.teach.test_evidence import Desk

SECTIONED = 'dialect: own\nfamily: sectioned\nheader: "own {firmware.version}"\n'
COLUMNS = 'dialect: own\nfamily: columns\nheader: "own {firmware.version}"\n'
CONSOLE = 'dialect: own\nfamily: console\nheader: "own {firmware.version}"\nassignment: "{name} := {value}"\n'
SELECTED = (
    CONSOLE
    + 'scopes:\n  - opens: "tune {n}"\n    cells: {n: text}\n    settings: {gain.roll: text}  # what?\n'
)
ROWS = CONSOLE + 'forms:\n  - line: "link {a} does {b} at {c}"\n    cells: {a: text, b: text, c: text}\n'

Lesson = tuple[str, str, str]


def _taught(desk: Desk, *lessons: Lesson) -> Taught:
    for old, new, told in lessons:
        taught = desk.lesson(old, new, *told.split("; "))
        assert not taught.refused
    return taught


def _status(taught: Taught) -> dict[str, Status]:
    return {".".join(one.shape): one.status for one in taught.study.outcomes}


def test_settings_of_numbered_sections() -> None:
    desk = Desk(
        SECTIONED,
        "[serial 1]\njob = 4\nspeed = 115200\n[serial 2]\njob = 0\nspeed = 9600\n[power]\nwarn = 330\n",
    )
    taught = _taught(
        desk,
        ("job = 0", "job = 128", "ports.UART2.functions += displayport"),
        ("job = 4", "job = 132", "ports.UART1.functions += displayport"),
        ("speed = 9600", "speed = 57600", "ports.UART2.rate_baud = 57600 was 9600"),
        ("warn = 330", "warn = 350", "battery.cell_warn_v = 3.5"),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert desk.value("ports.UART1.functions") == ("bit2", "displayport")
    assert desk.value("ports.UART1.rate_baud") == 115200  # its key is the section's, told by other lessons
    assert desk.value("battery.cell_warn_v") == 3.5


def test_rows_of_a_section_with_a_mode_and_a_slot() -> None:
    desk = Desk(
        SECTIONED,
        "[rng]\nrange0 = 1 3 1700 2100\nrange1 = 2 4 900 1200\nrange2 = 1 5 900 1300\n"
        "range3 = 7 6 1400 1600\n",
    )
    taught = _taught(
        desk,
        ("1 3 1700", "1 3 1800", "modes.arm.0.from_us = 1800"),
        ("2 4 900", "2 4 1000", "modes.beeper.1.from_us = 1000"),
        ("1 5 900", "1 5 1100", "modes.arm.2.from_us = 1100"),
        ("7 6 1400", "7 5 1400", "modes.lights.3.channel = 9 was 10"),
        ("7 5 1400", "7 5 1425", "modes.lights.3.from_us = 1425"),
        ("2 4 1000", "2 9 1000", "modes.beeper.1.channel = 13 was 8"),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert "range{n} = {c2} {c3} {c4} {c5}" in desk.text
    assert desk.value("modes.arm.0.channel") == 7
    assert desk.value("modes.arm.2.from_us") == 1100


def test_a_selector_line_says_the_profile() -> None:
    desk = Desk(SELECTED, "tune 0\ngain.roll := 45\ntune 1\ngain.roll := 50\n")
    taught = _taught(
        desk,
        (":= 45", ":= 46", "profiles.1.roll_gain = 46"),
        (":= 50", ":= 52", "profiles.2.roll_gain = 52"),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert desk.value("profiles.2.roll_gain") == 52
    assert "# what?" in desk.text


def test_a_new_setting_under_several_selectors_belongs_to_them() -> None:
    desk = Desk(SELECTED, "tune 0\ngain.yaw := 45\ntune 1\ngain.yaw := 50\n")
    _taught(
        desk,
        (":= 45", ":= 46", "profiles.1.yaw_gain = 46"),
        (":= 50", ":= 52", "profiles.2.yaw_gain = 52"),
    )
    assert desk.value("profiles.1.yaw_gain") == 46
    assert desk.value("profiles.2.yaw_gain") == 52


def test_a_selector_line_without_cells_has_settings_too() -> None:
    radio, screen = (
        '  - opens: "radio"\n    settings: {a: text}\n',
        '  - opens: "screen"\n    settings: {b: text}\n',
    )
    base = f"{CONSOLE}scopes:\n{radio}{screen}"
    desk = Desk(base, "radio\nspeech := w1\nscreen\nspeech := w2\n")
    taught = desk.lesson("screen\nspeech := w2", "screen\nspeech := w3", "osd.drive = chip")
    assert not taught.refused
    scopes = read_yaml(taught.text, "own.yaml").data["scopes"]  # type: ignore[call-overload, index]
    assert [sorted(scope["settings"]) for scope in scopes] == [["a"], ["b", "speech"]]  # type: ignore[index, call-overload, union-attr, arg-type]


def test_the_last_selector_line_says_the_profile_in_use() -> None:
    desk = Desk(SELECTED, "tune 0\ngain.roll := 45\ntune 1\ngain.roll := 50\ntune 0\n")
    _taught(desk, ("50\ntune 0\n", "50\ntune 1\n", "profiles.active = 2 was 1"))
    assert desk.value("profiles.active") == 2


@pytest.mark.parametrize("separator", [",", " "])
def test_an_index_inside_a_name_is_a_key(separator: str) -> None:
    dump = "LINK1_WORK,4\nLINK2_WORK,0\nLINK4_WORK,1\nWARN_CELL,3.30\n"
    desk = Desk(f'{COLUMNS}separator: "{separator}"\n', dump.replace(",", separator))
    taught = _taught(
        desk,
        (f"LINK2_WORK{separator}0", f"LINK2_WORK{separator}128", "ports.UART2.functions += displayport"),
        (f"LINK1_WORK{separator}4", f"LINK1_WORK{separator}132", "ports.UART1.functions += displayport"),
        ("3.30", "3.50", "battery.cell_warn_v = 3.5 was 3.3"),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert f"LINK{{n}}_WORK{separator}{{value}}" in desk.text
    assert desk.value("ports.UART2.functions") == ("displayport",)


def test_a_column_of_round_numbers_is_a_table_of_rates() -> None:
    desk = Desk(COLUMNS, "LINK1_RATE,115\nLINK2_RATE,57\nLINK4_RATE,57\n")
    _taught(
        desk,
        ("LINK2_RATE,57", "LINK2_RATE,115", "ports.UART2.rate_baud = 115200 was 57600"),
        ("LINK4_RATE,57", "LINK4_RATE,115", "ports.UART4.rate_baud = 115200 was 57600"),
    )
    assert desk.value("ports.UART4.rate_baud") == 115200


def test_rows_of_columns_with_an_index_in_their_name() -> None:
    desk = Desk(COLUMNS, "CHAN1,0,1700,2100\nCHAN2,5,900,1200\nCHAN3,0,900,1300\n")
    taught = _taught(
        desk,
        ("CHAN1,0,1700", "CHAN1,0,1800", "modes.arm.1.from_us = 1800 was 1700"),
        ("CHAN2,5,900", "CHAN2,5,1100", "modes.beeper.2.from_us = 1100 was 900"),
        ("CHAN3,0,900", "CHAN3,0,950", "modes.arm.3.from_us = 950 was 900"),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert '"CHAN{n},{c1},{c2},{c3}"' in desk.text
    assert desk.value("modes.arm.3.from_us") == 950


@pytest.mark.parametrize(
    ("base", "dump"),
    [
        (CONSOLE, "boat := old one\n"),
        (CONSOLE, 'boat := "old one"\n'),
        (SECTIONED, '[who]\nboat = "old one"\n'),
        (COLUMNS, "boat,old one\n"),
    ],
)
def test_free_text_with_blanks_and_quotes(base: str, dump: str) -> None:
    desk = Desk(base, dump)
    taught = _taught(desk, ("old one", "new boat", "identity.craft_name = new boat was old one"))
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert desk.value("identity.craft_name") == "new boat"
    assert ("quoted: true" in desk.text) is ('"' in dump)


def test_several_facts_in_one_lesson() -> None:
    desk = Desk(ROWS, "link u1 does 4 at 115200\nlink u2 does 0 at 9600\nlink u4 does 0 at 9600\n")
    taught = _taught(
        desk,
        (
            "u2 does 0 at 9600",
            "u2 does 128 at 57600",
            "ports.UART2.functions += displayport; ports.UART2.rate_baud = 57600 was 9600",
        ),
        (
            "u4 does 0 at 9600",
            "u4 does 132 at 57600",
            "ports.UART4.functions += displayport, receiver; ports.UART4.rate_baud = 57600",
        ),
    )
    assert set(_status(taught).values()) == {Status.SETTLED}
    assert not [line for one, line in taught.study.extra if one.number == taught.lesson.number]


def test_a_line_that_goes_and_one_that_comes() -> None:
    desk = Desk(
        CONSOLE + 'forms:\n  - line: "job {a} {b}"\n    cells: {a: text, b: text}\n',
        "job u1 gnss\njob u2 tele\n",
    )
    taught = _taught(
        desk,
        ("job u1 gnss\n", "", "ports.UART1.functions -= gnss"),
        ("job u2 tele\n", "job u2 tele\njob u3 gnss\n", "ports.UART3.functions += gnss"),
    )
    assert _status(taught) == {"ports.*.functions": Status.SETTLED}
    assert desk.value("ports.UART3.functions") == ("gnss",)


def test_nothing_is_added_by_a_line_that_goes() -> None:
    desk = Desk(ROWS, "link u1 does 4 at 115200\nlink u2 does 0 at 9600\n")
    assert desk.lesson("link u2 does 0 at 9600\n", "", "ports.UART2.functions += gnss").refused


def test_a_new_row_has_a_form() -> None:
    desk = Desk(CONSOLE, "wire 1 PB6 x\nwire 2 PA3 x\n")
    taught = _taught(
        desk,
        ("wire 1 PB6", "wire 1 PB7", "outputs.1.pin = PB7"),
        ("wire 2 PA3", "wire 2 PA4", "outputs.2.pin = PA4"),
    )
    assert _status(taught) == {"outputs.*.pin": Status.SETTLED}
    assert "wire {c1} {c2} x" in desk.text


def test_a_last_cell_that_turns_out_to_hold_several_words_takes_them_all() -> None:
    known = CONSOLE + (
        'forms:\n  - line: "link {a} {c}"\n    cells:\n      a: {words: {u1: UART1}}\n'
        "      c: {list: {of: {words: {t: telemetry}}}}\n"
        '    gives: {"ports.{a}.functions": c}\n'
    )
    desk = Desk(known, "link u1 t\nlink u2 t\n")
    taught = _taught(desk, ("u1 t", "u1 t g", "ports.UART1.functions += gnss"))
    assert 'line: "link {a} {c...}"' in desk.text
    assert _status(taught) == {"ports.*.functions": Status.SETTLED}
    assert desk.value("ports.UART1.functions") == ("telemetry", "gnss")


def test_what_is_set_in_at_one_place_comes_with_the_inner_first() -> None:
    text = "scopes:\n  - opens: tune\n    settings: {a: text}\n"
    wanted = {
        "scopes": [{"opens": "tune", "settings": {"a": "text"}, "gives": {"x.y": "n"}}],
        "lessons": [{"facts": ["x"]}],
    }
    assert read_yaml(amended(text, "own.yaml", wanted), "own.yaml").data == wanted
