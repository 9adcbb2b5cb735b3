"""Pole arithmetic against worked rows.

Source: textbook definitions from memory, arithmetic computed; 14 poles are 7 pairs in the
documentation of the Rust crate dshot-codec 0.1.0.
"""

from __future__ import annotations

import pytest

from cfgaudit.derive import poles
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("motor_rpm"), ids=lambda row: f"kv{row['kv']}-{row['cells']}s")
def test_rpm(row: dict[str, str]) -> None:
    count = int(row["poles"])
    rpm = poles.no_load_rpm(float(row["kv"]), float(row["volts"]))
    erpm = poles.erpm_of(rpm, count)
    assert rpm == pytest.approx(float(row["noload_rpm"]))
    assert erpm == pytest.approx(float(row["erpm"]))
    assert poles.per_second(erpm) == pytest.approx(float(row["elec_hz"]))
    assert poles.per_second(rpm) == pytest.approx(float(row["mech_hz"]))
    assert poles.rpm_of(erpm, count) == pytest.approx(rpm)


def test_fourteen_poles_are_seven_pairs() -> None:
    assert poles.pole_pairs(14) == 7
