"""What a firmware's version changes: which settings there are, and how they are called."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.shelf import named_dialect
from cfgaudit.dialect.write import write
from cfgaudit.model.path import parse
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
    plover, dunlin = named_dialect("plover"), named_dialect("dunlin")
    assert "volts.warn" in plover.at("4.1.9").scopes[0].settings
    assert "volts.low" in plover.at("4.2").scopes[0].settings
    assert "screen.glow" not in plover.at("4.1").scopes[0].settings
    screen = next(one for one in dunlin.at("2.5").scopes if one.opens and one.opens.text == "screen")
    assert "used-warning" in screen.settings
    assert "used-alarm" not in screen.settings
