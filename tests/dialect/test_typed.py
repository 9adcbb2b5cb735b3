"""Lines typed on top of a dump: what the firmware makes of each."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.typed import Fate, Session, prepared
from tests.compare.preset.desk import dump, preset


def typed(*lines: str, craft: str = "otter", without: frozenset[int] = frozenset()) -> Session:
    return prepared(dump(craft), preset(lines)).typed(without)


@pytest.mark.parametrize(
    ("line", "fate"),
    [
        ("lamp.glow := 55", Fate.SETS),
        ("lamp.glow := 40", Fate.ALREADY),
        ("lamp.glow :=   40   ~ as before", Fate.ALREADY),
        ("draw pack at 67", Fate.ALREADY),
        ("lamp.glow := 900", Fate.REFUSED),
        ("lamp.glow := bright", Fate.REFUSED),
        ("tune 3", Fate.REFUSED),
        ("lamp.shine := 5", Fate.UNKNOWN),
        ("LAMP_GLOW,5", Fate.UNKNOWN),
        ("keep", Fate.KEEPS),
        ("  keep ", Fate.KEEPS),
        ("wake", Fate.RESTARTS),
        ("show everything", Fate.SHOWS),
        ("feel 2", Fate.OPENS),
        ("tune 1", Fate.OPENS),
        ("tune 2", Fate.SETS),
    ],
)
def test_the_fate_of_a_line(line: str, fate: Fate) -> None:
    (one,) = typed(line).typed
    assert one.fate is fate


def test_a_bit_without_a_name_is_taken() -> None:
    (one,) = typed("link u3 does 0x400000 at 115200").typed
    assert one.fate is Fate.SETS


def test_remarks_and_blank_lines_are_not_typed() -> None:
    session = typed("~ a remark", "", "keep")
    assert [one.statement.line for one in session.typed] == [3]
    assert len(session.statements) == 3


def test_the_last_of_several_counts() -> None:
    session = typed("lamp.glow := 55", "lamp.glow := 60", "lamp.glow := 900")
    assert [one.fate for one in session.typed] == [Fate.OVERRULED, Fate.SETS, Fate.REFUSED]
    assert session.typed[0].by == (session.typed[1].statement,)
    assert session.after.model.settings["lamp.glow"].value == "60"


def test_a_refused_line_leaves_all_as_it_was() -> None:
    session = typed("lamp.glow := 900", "nonsense", "tune 3", "grip.roll := 60")
    assert session.after.in_force == session.before.in_force
    assert session.typed[3].by == (session.typed[2].statement,)


def test_without_some_lines() -> None:
    session = typed("tune 2", "grip.roll := 60", "tune 1", without=frozenset({1, 3}))
    assert session.after.model.tree["profiles"]["2"]["roll_grip"] == 60  # type: ignore[index,call-overload]
    assert session.after.model.tree["profiles"]["active"] == 1  # type: ignore[index,call-overload]


def test_lines_of_sections() -> None:
    session = typed("[radio]", "pairing = 1-2-3", "[nothing]", "pairing = 4-5-6", craft="heron")
    assert [one.fate for one in session.typed] == [Fate.OPENS, Fate.SETS, Fate.UNKNOWN, Fate.UNKNOWN]
    assert session.private.keys() >= {2, 4}


@pytest.mark.parametrize(
    ("craft", "line"),
    [
        ("otter", 'stick.secret := "5ec2e7"'),
        ("otter", "stick.secret := 5ec2e7 \\ x"),
        ("otter", '~ stick.secret := "5ec2e7"'),
        ("otter", '~~  pilot.phone := "5ec2e7"'),
        ("heron", 'pilot = "5ec2e7"'),
        ("heron", '; pilot = "5ec2e7"'),
        ("vole", "HAND_PAIR,5ec2e7"),
        ("vole", "#HAND_PAIR,5ec2e7"),
    ],
)
def test_private_values_are_not_shown(craft: str, line: str) -> None:
    session = typed(line, craft=craft)
    assert "5ec2e7" not in session.shown(session.statements[0])


def test_a_remark_that_speaks_of_a_private_setting_is_shown() -> None:
    session = typed("; the pilot decides where home is", craft="heron")
    assert session.private == {}
