from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.derive import dshot


@given(st.integers(1, 65_408))
def test_reply_comes_back_through_the_line(period_us: int) -> None:
    sent = dshot.reply_word(period_us)
    heard = dshot.reply_of_line(dshot.line_levels(dshot.gcr(sent)))
    assert heard == sent
    back = dshot.reply_period_us(heard)
    # Nine bits of mantissa: never longer than asked, never short by one part in 256.
    assert period_us * 255 / 256 < back <= period_us


@given(st.integers(0, dshot.THROTTLE_MAX), st.booleans(), st.integers(0, 15))
def test_one_wrong_bit_never_fits_the_checksum(throttle: int, telemetry: bool, bit: int) -> None:
    word = dshot.word(throttle, telemetry) ^ 1 << bit
    assert word & 0xF != dshot.checksum(word >> 4)


@pytest.mark.parametrize("throttle", [-1, 2048])
def test_throttle_outside_the_frame(throttle: int) -> None:
    with pytest.raises(ValueError, match="throttle"):
        dshot.word(throttle)


@pytest.mark.parametrize("period_us", [0, -5, 65409])
def test_period_outside_the_reply(period_us: int) -> None:
    with pytest.raises(ValueError, match="period"):
        dshot.reply_word(period_us)


def test_garbled_replies_say_why() -> None:
    assert dshot.reply_period_us(0x064C) == dshot.Garbled("checksum C does not fit 064")
    assert dshot.reply_period_us(0x000F) == dshot.Garbled("a period of 0 µs")
    assert dshot.reply_of_line(0) == dshot.Garbled("00000 is no GCR code")
