from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.derive import crsf


@pytest.mark.parametrize(
    ("ticks", "us"), [(172, 987.5), (191, 999.375), (992, 1500), (1792, 2000), (1811, 2011.875)]
)
def test_ticks_and_us(ticks: int, us: float) -> None:
    assert crsf.us_of(ticks) == us
    assert crsf.ticks_of(us) == ticks


@given(st.integers(0, 2047))
def test_ticks_come_back(ticks: int) -> None:
    assert crsf.ticks_of(crsf.us_of(ticks)) == ticks


@given(st.lists(st.integers(0, 2047), min_size=16, max_size=16))
def test_channels_come_back(ticks: list[int]) -> None:
    assert crsf.unpacked(crsf.packed(ticks)) == tuple(ticks)


@pytest.mark.parametrize("ticks", [[992] * 15, [992] * 17, [2048] * 16, [-1] * 16])
def test_channels_that_fit_no_frame(ticks: list[int]) -> None:
    with pytest.raises(ValueError, match="16 channels"):
        crsf.packed(ticks)


def test_longest_frame() -> None:
    assert len(crsf.frame(0x3A, bytes(60))) == 64
    with pytest.raises(ValueError, match="61 bytes"):
        crsf.frame(0x3A, bytes(61))
