"""DShot against published words and times.

Sources, named in each fact file: Espressif's esp-idf (dshot_esc_encoder.c and its example), the
Rust crates dshot-frame and dshot-codec; the turn-round time is common practice, from memory.
"""

from __future__ import annotations

import pytest

from cfgaudit.derive import dshot, poles
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("dshot_frames"), ids=lambda row: f"{row['throttle']}-{row['telemetry']}")
def test_word(row: dict[str, str]) -> None:
    throttle, telemetry = int(row["throttle"]), row["telemetry"] == "1"
    assert dshot.word(throttle, telemetry) == int(row["normal_hex"], 16)
    assert dshot.word(throttle, telemetry, bidirectional=True) == int(row["bidir_hex"], 16)


@pytest.mark.parametrize("row", rows("dshot_timing"), ids=lambda row: row["name"])
def test_times(row: dict[str, str]) -> None:
    bit_rate = dshot.BIT_RATES[row["name"].lower()]
    assert bit_rate == int(row["bit_rate"])
    times = dshot.times(bit_rate)
    figured = {
        "bit_us": times.bit_us,
        "t1h_us": times.one_high_us,
        "t0h_us": times.zero_high_us,
        "frame_us": times.frame_us,
        "reply_bit_us": times.reply_bit_us,
        "reply_us": times.reply_us,
        "frame+30us+reply_us": times.exchange_us(bidirectional=True),
    }
    for name, value in figured.items():
        places = len(row[name].partition(".")[2])
        assert value == pytest.approx(float(row[name]), abs=0.5001 * 10**-places), name
    assert times.exchange_us(bidirectional=False) == times.frame_us


@pytest.mark.parametrize("row", rows("dshot_erpm"), ids=lambda row: row["period_us"])
def test_reply(row: dict[str, str]) -> None:
    """The GCR table of the facts was checked against dshot-codec 0.1.0."""
    word, code, line = int(row["value16"], 16), int(row["gcr20"], 16), int(row["line21"], 16)
    sent = int(row["encoded_period_us"])
    assert dshot.reply_word(int(row["period_us"])) == word
    assert dshot.gcr(word) == code
    assert dshot.line_levels(code) == line
    assert dshot.reply_of_line(line) == word
    assert dshot.reply_period_us(word) == sent
    assert dshot.erpm(sent) == pytest.approx(float(row["erpm"]), abs=0.051)
    assert poles.rpm_of(dshot.erpm(sent), 14) == pytest.approx(float(row["rpm_14pole"]), abs=0.051)
    assert poles.rpm_of(dshot.erpm(sent), 12) == pytest.approx(float(row["rpm_12pole"]), abs=0.051)
