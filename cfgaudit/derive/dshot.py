"""DShot: the digital line from flight controller to ESC, its frames, its times, its eRPM reply.

A frame is 16 bits: 11 bits of throttle, 1 bit that asks for telemetry, 4 bits of checksum. On a
bidirectional line the checksum is inverted, and the ESC answers each frame on the same wire with
21 line bits at five quarters of the bit rate.

Source: the protocol as published with Espressif's esp-idf (``dshot_esc_encoder.c``) and in the
Rust crates ``dshot-frame`` and ``dshot-codec``. The turn-round time is common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

# The words of motors.protocol that are DShot → bits per second. Other protocols have no frames.
BIT_RATES: Mapping[str, int] = MappingProxyType(
    {"dshot150": 150_000, "dshot300": 300_000, "dshot600": 600_000, "dshot1200": 1_200_000}
)

THROTTLE_MAX = 2047
FRAME_BITS = 16
REPLY_BITS = 21
TURN_ROUND_US = 30.0  # the ESC's pause between hearing a frame and answering it, nominal

_REPLY_SPEED = 5 / 4  # reply bits per frame bit
_ONE_HIGH = 0.7485  # share of the bit time that the line is high for a 1
_ZERO_HIGH = 0.37425

_MANTISSA_MAX = 511
_PERIOD_MAX_US = _MANTISSA_MAX << 7

_GCR = (
    0b11001, 0b11011, 0b10010, 0b10011, 0b11101, 0b10101, 0b10110, 0b10111,
    0b11010, 0b01001, 0b01010, 0b01011, 0b11110, 0b01101, 0b01110, 0b01111,
)  # fmt: skip
_NIBBLES = {code: nibble for nibble, code in enumerate(_GCR)}


class Times(Struct, frozen=True):
    """How long everything takes on one line; all in µs."""

    bit_us: float
    one_high_us: float
    zero_high_us: float
    frame_us: float
    reply_bit_us: float
    reply_us: float

    def exchange_us(self, bidirectional: bool) -> float:
        """What one throttle update keeps the wire busy for: frame, and turn-round and reply if any."""
        return self.frame_us + (TURN_ROUND_US + self.reply_us if bidirectional else 0.0)


class Garbled(Struct, frozen=True):
    """A reply that no ESC sends: which of its checks failed."""

    reason: str


def checksum(payload: int, bidirectional: bool = False) -> int:
    """The 4 bits that close a frame or a reply: the nibbles of its 12-bit payload, xored.

    On a bidirectional line, frames and replies alike, all four bits are inverted.
    """
    nibble = (payload ^ payload >> 4 ^ payload >> 8) & 0xF
    return nibble ^ 0xF if bidirectional else nibble


def word(throttle: int, telemetry: bool = False, bidirectional: bool = False) -> int:
    """The 16-bit frame, most significant bit first on the wire.

    ``throttle`` is 0 (stop), 1–47 (commands) or 48–2047 (thrust). ValueError outside 0–2047.
    """
    if not 0 <= throttle <= THROTTLE_MAX:
        raise ValueError(f"throttle {throttle} is not in 0–{THROTTLE_MAX}")
    payload = throttle << 1 | telemetry
    return payload << 4 | checksum(payload, bidirectional)


def times(bit_rate: int) -> Times:
    """Bit, frame and reply times of a line of ``bit_rate`` bits per second (> 0; see BIT_RATES)."""
    bit_us = 1e6 / bit_rate
    reply_bit_us = bit_us / _REPLY_SPEED
    return Times(
        bit_us=bit_us,
        one_high_us=bit_us * _ONE_HIGH,
        zero_high_us=bit_us * _ZERO_HIGH,
        frame_us=bit_us * FRAME_BITS,
        reply_bit_us=reply_bit_us,
        reply_us=reply_bit_us * REPLY_BITS,
    )


def reply_word(period_us: int) -> int:
    """The 16-bit eRPM reply ``eee mmmmmmmmm cccc`` for one electrical revolution of ``period_us``.

    The period is sent as mantissa · 2^exponent with the smallest exponent that holds it, so long
    periods lose their low bits. ValueError outside 1–65408 µs.
    """
    if not 1 <= period_us <= _PERIOD_MAX_US:
        raise ValueError(f"period {period_us} µs is not in 1–{_PERIOD_MAX_US}")
    exponent = max(0, period_us.bit_length() - _MANTISSA_MAX.bit_length())
    payload = exponent << 9 | period_us >> exponent
    return payload << 4 | checksum(payload, bidirectional=True)


def reply_period_us(reply: int) -> int | Garbled:
    """The period in µs that a 16-bit reply carries, if its checksum holds."""
    payload, check = reply >> 4, reply & 0xF
    if check != checksum(payload, bidirectional=True):
        return Garbled(f"checksum {check:X} does not fit {payload:03X}")
    mantissa = payload & _MANTISSA_MAX
    if not mantissa:
        return Garbled("a period of 0 µs")
    return mantissa << (payload >> 9)


def gcr(reply: int) -> int:
    """A 16-bit reply in 20 bits: each nibble as five bits that never hold long runs of zeros."""
    nibbles = (reply >> shift & 0xF for shift in (12, 8, 4, 0))
    code = 0
    for nibble in nibbles:
        code = code << 5 | _GCR[nibble]
    return code


def line_levels(code: int) -> int:
    """The 21 levels on the wire for 20 GCR bits: the line starts low and toggles at each 1."""
    level = levels = 0
    for shift in reversed(range(REPLY_BITS - 1)):
        level ^= code >> shift & 1
        levels = levels << 1 | level
    return levels


def reply_of_line(levels: int) -> int | Garbled:
    """The 16-bit reply behind 21 line levels: the way back through toggles and GCR."""
    code = (levels ^ levels >> 1) & (1 << REPLY_BITS - 1) - 1
    reply = 0
    for shift in (15, 10, 5, 0):
        five = code >> shift & 0b11111
        if five not in _NIBBLES:
            return Garbled(f"{five:05b} is no GCR code")
        reply = reply << 4 | _NIBBLES[five]
    return reply


def erpm(period_us: float) -> float:
    """Electrical revolutions per minute from the period of one, in µs (> 0)."""
    return 60e6 / period_us
