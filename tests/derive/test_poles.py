from __future__ import annotations

import pytest

from cfgaudit.derive import poles


def test_wrong_poles_distort_by_their_ratio() -> None:
    assert poles.distortion(set_poles=14, true_poles=14) == 1
    ratio = poles.distortion(set_poles=12, true_poles=14)
    assert ratio == pytest.approx(7 / 6)
    assert poles.rpm_of(210_000, 12) == pytest.approx(ratio * poles.rpm_of(210_000, 14))


@pytest.mark.parametrize("count", [0, 1, 13, -2])
def test_magnets_come_in_pairs(count: int) -> None:
    with pytest.raises(ValueError, match="pairs"):
        poles.pole_pairs(count)
