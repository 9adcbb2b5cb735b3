"""Motor speeds and signal times against published figures.

Sources: facts/motor_rpm.csv (definitions from memory, textbook; arithmetic computed) and
facts/dshot_timing.csv (esp-idf's example; the turn-round of 30 µs from memory); the inch by its
definition of 1959 (25.4 mm).
"""

from __future__ import annotations

import math

import pytest

from cfgaudit.derive.rotor.pulse import update_us
from cfgaudit.derive.rotor.section import rotor
from cfgaudit.derive.rotor.speed import tip_speed_m_s
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("motor_rpm"), ids=lambda row: f"{row['kv']}-{row['cells']}")
def test_speeds(row: dict[str, str]) -> None:
    """From kv, cells and magnets as a build sheet tells them to the published rpm and eRPM."""
    build = {
        "motors": {"kv": int(row["kv"]), "magnets": int(row["poles"])},
        "battery": {"cells": int(row["cells"]), "chemistry": "lipo"},
    }
    figures = rotor({}, build)  # type: ignore[arg-type]  # JSON
    assert figures["pack_full_v"] == pytest.approx(float(row["volts"]))
    assert figures["rpm"] == pytest.approx(float(row["noload_rpm"]))
    assert figures["erpm"] == pytest.approx(float(row["erpm"]))


@pytest.mark.parametrize("row", rows("dshot_timing"), ids=lambda row: row["name"])
def test_updates(row: dict[str, str]) -> None:
    protocol = row["name"].lower()
    assert update_us(protocol, bidirectional=False) == pytest.approx(float(row["frame_us"]), abs=0.001)
    both = float(row["frame+30us+reply_us"])
    assert update_us(protocol, bidirectional=True) == pytest.approx(both, abs=0.001)


def test_a_tip_goes_round_its_circle() -> None:
    """A disc of one metre around turns once a second: one metre a second."""
    inches = 1 / math.pi / 0.0254
    assert tip_speed_m_s(60, inches) == pytest.approx(1.0)


def test_a_protocol_that_is_not_known_is_not_guessed() -> None:
    with pytest.raises(ValueError, match="not known here"):
        update_us("morse", bidirectional=False)
