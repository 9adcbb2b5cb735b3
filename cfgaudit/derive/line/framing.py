"""Framing: the bits that a byte takes on a serial line, and what follows from them.

A byte is a start bit, its data bits, perhaps a parity bit, and stop bits: 8N1 is 1 + 8 + 0 + 1 = 10.
Source: the notation is that of every UART manual; ST RM0090 rev 11, section 30.3.1.
"""

from __future__ import annotations

import re

_FORMAT = re.compile(r"([5-9])([NEO])([12])")


def bits_a_byte(format: str) -> int:
    """``"8N1"`` → 10, ``"8E2"`` → 12: start, data, parity and stop bits. Raises ValueError for others."""
    data, parity, stops = _parts(format)
    return 1 + data + parity + stops


def bits_to_first_stop(format: str) -> int:
    """The bits over which the receiving end must keep pace: a second stop bit is of no account."""
    data, parity, _ = _parts(format)
    return 1 + data + parity + 1


def capacity_bytes(baud: int, format: str) -> float:
    """The bytes a second that a line carries at most, one way."""
    return baud / bits_a_byte(format)


def frame_us(frame_bytes: int, baud: int, format: str) -> float:
    """How long a frame is on the line, in µs."""
    return frame_bytes * bits_a_byte(format) * 1_000_000 / baud


def _parts(format: str) -> tuple[int, int, int]:
    found = _FORMAT.fullmatch(format)
    if not found:
        raise ValueError(f"{format!r} is no framing such as 8N1")
    return int(found[1]), int(found[2] != "N"), int(found[3])
