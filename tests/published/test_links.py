"""Receiver links against published sample frames.

Sources: the IBUS frame in the comment of IBusBM.cpp; the SBUS frame that an mbed library sends by
default, decoded as LSB-first 11-bit channels.
"""

from __future__ import annotations

import pytest

from cfgaudit.derive import links
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("rc_sample_frames"), ids=lambda row: row["protocol"])
def test_sample_frame_fills_the_link(row: dict[str, str]) -> None:
    assert len(row["channels"].split()) == links.LINKS[row["protocol"].lower()].proportional


def test_sbus_channels_fill_the_frame_up_to_its_flags() -> None:
    """25 bytes: start, 16 × 11 bits, one byte of flags that holds the two on-off channels, end."""
    sbus = links.LINKS["sbus"]
    (row,) = (row for row in rows("rc_sample_frames") if row["protocol"] == "SBUS")
    frame = bytes.fromhex(row["hex"])
    assert len(frame) == 25 == 1 + sbus.proportional * 11 // 8 + 1 + 1
    bits = int.from_bytes(frame[1:23], "little")
    assert [bits >> 11 * n & 0x7FF for n in range(sbus.proportional)] == [
        int(c) for c in row["channels"].split()
    ]
    assert sbus.channels == 18
