"""What a firmware's version changes: which settings and rows there are, their names and defaults."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.shelf import named_dialect
from cfgaudit.dialect.write import write
from cfgaudit.model.model import Unknown
from cfgaudit.model.path import parse
from cfgaudit.model.place import Default
from cfgaudit.model.refusal import Refusal
from tests.dialect.small import TEAL, compiled, leaves, read

TEAL_DIALECT = compiled(TEAL)


def teal(version: str, *rows: str) -> Reading:
    return read(TEAL_DIALECT, f"~ teal {version} on Reed, all", *rows)


@pytest.mark.parametrize(
    ("version", "name"),
    [
        ("1.1.9", "volts.warn"),
        ("1.2", "volts.low"),
        ("1.3.1", "volts.low"),
        ("1.4", "volts.alarm"),
        ("1.10", "volts.alarm"),
        ("v1.2-rc1", "volts.low"),
        ("about new", "volts.warn"),  # an unknown version changes nothing
    ],
)
def test_a_setting_has_one_name_at_a_time(version: str, name: str) -> None:
    names = ("volts.warn", "volts.low", "volts.alarm")
    reading = teal(version, *(f"put {one} := 3{n}0" for n, one in enumerate(names)))
    value = 3 + names.index(name) / 10
    assert leaves(reading) == {"battery.cell_warn_v": value}
    assert [one.words[1] for one in reading.unknown] == [one for one in names if one != name]
    assert write(reading, {parse("battery.cell_warn_v"): 3.6}).lines == (f"put {name} := 360",)


@pytest.mark.parametrize(
    ("version", "known"),
    [
        ("1.2.9", {"budget"}),
        ("1.3", {"share"}),
        ("1.3.0", {"share"}),
        ("2", {"share"}),
        ("?", {"budget", "share"}),
    ],
)
def test_settings_come_and_go(version: str, known: set[str]) -> None:
    reading = teal(version, "put budget := 20", "put share := 20")
    assert set(reading.model.settings) == known
    assert len(reading.unknown) == 2 - len(known)


def test_names_may_be_swapped() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: wren {firmware.version}\n"
        "settings: {a: {is: limits.a, integer: }, b: {is: limits.b, integer: }}\n"
        'renamed: {"2": {a: b, b: a}}\n'
    )
    reading = read(made, "# wren 2.0", "a = 1", "b = 2")
    assert reading.model.tree["limits"] == {"a": 2, "b": 1}


def test_the_shipped_dialects_rename() -> None:
    plover, dunlin, avocet = (named_dialect(name) for name in ("plover", "dunlin", "avocet"))
    assert "volts.warn" in plover.at("4.1.9").scopes[0].settings
    assert "volts.low" in plover.at("4.2").scopes[0].settings
    assert "screen.glow" not in plover.at("4.1").scopes[0].settings
    screen = next(one for one in dunlin.at("2.5").scopes if one.opens and one.opens.text == "screen")
    assert "used-warning" in screen.settings
    assert "used-alarm" not in screen.settings
    assert "CELL_LOW" in avocet.at("1.4.9").scopes[0].settings
    assert "CELL_WARN_AT" in avocet.at("1.5").scopes[0].settings
    assert "TEXT_EDGE" not in avocet.at("1.3").scopes[0].settings
    assert "TEXT_SHADE" not in avocet.at("1.4").scopes[0].settings


# Defaults that moved


def changes(version: str, *rows: str) -> Reading:
    return read(TEAL_DIALECT, f"~ teal {version} on Reed, some", *rows)


@pytest.mark.parametrize(
    ("version", "warns", "called"),
    [
        ("1.1", 3.5, "volts.warn"),
        ("1.2", 3.5, "volts.low"),
        ("1.3", 3.6, "volts.low"),
        ("1.3.9", 3.6, "volts.low"),
        ("1.4", 3.4, "volts.alarm"),
        ("1.40", 3.4, "volts.alarm"),
    ],
)
def test_a_default_is_that_of_the_version(version: str, warns: float, called: str) -> None:
    reading = changes(version)
    leaf = reading.model.leaves[parse("battery.cell_warn_v")]
    assert (leaf.value, leaf.origin) == (warns, Default("teal"))
    lines = write(reading, {parse("battery.cell_warn_v"): 3.3})
    assert (lines.lines, lines.undo) == (
        (f"put {called} := 330",),
        (f"put {called} := {warns * 100:.0f}",),
    )


def test_what_the_dump_says_comes_before_a_default_that_moved() -> None:
    assert leaves(changes("1.3", "put volts.low := 350"), "battery")["battery.cell_warn_v"] == 3.5


def test_a_full_dump_takes_no_default_of_any_version() -> None:
    assert leaves(teal("1.3")) == {}


def test_without_a_version_a_default_that_moved_is_not_known() -> None:
    reading = changes("new")
    assert reading.model.at(parse("battery.cell_warn_v")) == Unknown(parse("battery.cell_warn_v"))
    assert leaves(reading, "battery") == {"battery.cell_full_v": 4.2}  # never moved
    lines = write(reading, {parse("battery.cell_warn_v"): 3.3})
    assert lines.undo == ("~ the dump had no line for volts.warn: nothing to take back to",)


def test_a_default_of_any_codec_may_move() -> None:
    made = compiled(
        "dialect: wren\nfamily: console\nheader: 'wren {firmware.version} {extent}'\n"
        "settings:\n"
        "  talks: {is: limits.a, list: {of: integer, empty: none}, default: [1]}\n"
        "  size: {packed: {rows: {bits: 0-4}, columns: {bits: 5-9}},\n"
        "    gives: {osd.rows: value.rows, osd.columns: value.columns}}\n"
        "  checks: {is: arming.checks, flag: , default: true}\n"
        "  new: {is: limits.b, integer: , default: 1, since: '2'}\n"
        "moved:\n"
        "  '2.0': {talks: [], size: {rows: 16, columns: 30}, checks: false, new: 2}\n"
    )
    before, after = (read(made, f"# wren {version} changed").model.tree for version in ("1.9", "2"))
    assert (before["arming"], before["limits"]) == ({"checks": True}, {"a": [1]})
    assert "osd" not in before
    assert (after["arming"], after["limits"]) == ({"checks": False}, {"a": [], "b": 2})
    assert after["osd"] == {"rows": 16, "columns": 30}


# Forms that come and go

PACE = """
dialect: wren
family: console
header: "wren {firmware.version} {extent}"
forms:
  - line: "pace {hz}"
    until: "2"
    cells: &hz {hz: integer}
    gives: {loop.gyro_hz: hz}
    factory: ["pace 4000"]
  - line: "pace {hz}"
    since: "2"
    until: "3"
    cells: *hz
    gives: {loop.gyro_hz: hz}
    factory: ["pace 8000"]
  - line: "pace {hz} answer {control}"
    since: "3"
    cells: {hz: integer, control: integer}
    gives: {loop.gyro_hz: hz, loop.control_hz: control}
    factory: ["pace 8000 answer 2000"]
"""


@pytest.mark.parametrize(
    ("version", "loop", "line"),
    [
        ("1.9", {"gyro_hz": 4000}, "pace 1000"),
        ("2.0", {"gyro_hz": 8000}, "pace 1000"),
        ("3.1", {"gyro_hz": 8000, "control_hz": 2000}, "pace 1000 answer 2000"),
    ],
)
def test_forms_and_their_factory_lines_come_and_go(version: str, loop: dict[str, int], line: str) -> None:
    reading = read(compiled(PACE), f"# wren {version} changed")
    assert reading.model.tree["loop"] == loop
    lines = write(reading, {parse("loop.gyro_hz"): 1000})
    assert lines.lines == (line,)
    reading = read(compiled(PACE), f"# wren {version} full", "pace 500", "pace 500 answer 250")
    assert [one.text.strip() for one in reading.unknown] == [
        "pace 500" if version == "3.1" else "pace 500 answer 250"
    ]


def test_without_a_version_their_factory_lines_are_not_known() -> None:
    assert leaves(read(compiled(PACE), "# wren new changed")) == {}
    assert leaves(read(compiled(PACE), "# wren new changed", "pace 500")) == {"loop.gyro_hz": 500}


def test_forms_that_a_version_would_have_twice_are_refused() -> None:
    with pytest.raises(Refusal, match="comes twice") as refused:
        compiled(PACE.replace('since: "2"', 'since: "1.9.9"'))
    assert "since and until" in refused.value.mend


def test_the_shipped_dialects_move_defaults_rename_and_remove() -> None:
    old, new = (plover_changes(version) for version in ("4.1.2", "4.2"))
    moved = {path: value for path, value in leaves(new).items() if value != leaves(old)[path]}
    assert moved == {
        "battery.cell_warn_v": 3.6,
        "failsafe.delay_s": 1.0,
        "motors.idle_percent": 5.5,
    }
    assert write(new, {parse("battery.cell_warn_v"): 3.5}).lines == ("volts.low := 350",)
    assert old.model.settings["travel c1 low"].value == "1000"
    assert new.model.settings["travel c1 low"].value == "1020"
    gone = old.model.settings.keys() - new.model.settings.keys()
    assert gone == {"stick.quiet"}
    assert new.model.settings.keys() - old.model.settings.keys() == {"stick.dead", "screen.glow"}
    assert "thrust.warm-up" in plover_changes("4.0").model.settings.keys() - old.model.settings.keys()

    patience, letters, patterns = [], [], []
    for version in ("2.3.1", "2.4", "2.5"):
        reading = read(
            named_dialect("dunlin"),
            f"; dunlin {version} on Sedge-743 with STM32H743VIT6",
            "; built 2026-02-17, telling differences",
        )
        patience.append(leaves(reading)["failsafe.delay_s"])
        letters.append(reading.model.settings["screen / letters"].value)
        patterns.append("signals / call-pattern.found" in reading.model.settings)
    assert (patience, letters) == ([0.5, 0.8, 0.8], ["plain", "plain", "heavy"])
    assert patterns == [False, False, True]


def plover_changes(version: str) -> Reading:
    return read(named_dialect("plover"), f"~ plover {version} / Reed-405 / STM32F405RGT6 / changes")
