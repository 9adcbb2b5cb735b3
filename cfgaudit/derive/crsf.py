"""CRSF: the frames between a radio receiver and a flight controller, their sizes and times.

A frame is sync, length, type, payload, CRC; the length byte counts from the type on. Channels
travel as ticks, 11 bits each, the lowest bits of the first channel first.

Source: the published specification (tbs-crsf-spec 1285bbc, crsf.md); its payload structs
summed up for the sizes. 420,000 baud is common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct

SYNC = 0xC8
FRAME_MAX_BYTES = 64
RC_CHANNELS = 16
RC_TYPE = 0x16

# Bits per second by wiring, from the specification; the third is what most receivers ship with.
DUAL_WIRE_BAUD = 416_666
SINGLE_WIRE_BAUD = 400_000
COMMON_BAUD = 420_000

_OVERHEAD_BYTES = 4  # sync, length, type, CRC
_UNCOUNTED_BYTES = 2  # sync and the length byte itself
_CHANNEL_BITS = 11
_POLYNOMIAL = 0xD5


class FrameType(Struct, frozen=True):
    """One kind of frame, with the bytes of its payload."""

    name: str
    payload_bytes: int

    @property
    def frame_bytes(self) -> int:
        """The whole frame on the wire."""
        return self.payload_bytes + _OVERHEAD_BYTES

    @property
    def length_byte(self) -> int:
        """What the frame says of its own length: type, payload and CRC."""
        return self.frame_bytes - _UNCOUNTED_BYTES


FRAME_TYPES: Mapping[int, FrameType] = MappingProxyType(
    {
        0x02: FrameType("GPS", 15),
        0x03: FrameType("GPS time", 9),
        0x06: FrameType("GPS extended", 20),
        0x07: FrameType("vario", 2),
        0x08: FrameType("battery", 8),
        0x09: FrameType("baro alt + vspeed", 3),
        0x0A: FrameType("airspeed", 2),
        0x0B: FrameType("heartbeat", 2),
        0x10: FrameType("video link telemetry", 5),
        0x11: FrameType("barometer", 8),
        0x12: FrameType("magnetometer", 6),
        0x13: FrameType("accel gyro", 18),
        0x14: FrameType("link statistics", 10),
        RC_TYPE: FrameType("rc channels packed", 22),
        0x1C: FrameType("link stats rx", 5),
        0x1D: FrameType("link stats tx", 6),
        0x1E: FrameType("attitude", 6),
    }
)


def us_of(ticks: int) -> float:
    """Channel ticks as servo pulse µs: 992 is 1500 µs, 8 ticks are 5 µs."""
    return (ticks - 992) * 5 / 8 + 1500


def ticks_of(us: float) -> int:
    """Servo pulse µs as the nearest channel ticks."""
    return round((us - 1500) * 8 / 5 + 992)


def crc8(content: bytes) -> int:
    """CRC-8 with polynomial 0xD5, start 0, over a frame's type and payload."""
    crc = 0
    for byte in content:
        crc ^= byte
        for _ in range(8):
            crc = (crc << 1 ^ _POLYNOMIAL if crc & 0x80 else crc << 1) & 0xFF
    return crc


def frame(kind: int, payload: bytes) -> bytes:
    """A whole frame around a payload. ValueError if it would be longer than 64 bytes."""
    if len(payload) + _OVERHEAD_BYTES > FRAME_MAX_BYTES:
        raise ValueError(f"a payload of {len(payload)} bytes does not fit a frame of {FRAME_MAX_BYTES}")
    content = bytes([kind]) + payload
    return bytes([SYNC, len(content) + 1]) + content + bytes([crc8(content)])


def packed(ticks: Sequence[int]) -> bytes:
    """The 22-byte payload for 16 channels, channel 1 first. ValueError if one is not 11 bits wide."""
    if len(ticks) != RC_CHANNELS or not all(0 <= one < 1 << _CHANNEL_BITS for one in ticks):
        raise ValueError(f"{RC_CHANNELS} channels of 0–{(1 << _CHANNEL_BITS) - 1} ticks are needed")
    bits = sum(one << _CHANNEL_BITS * index for index, one in enumerate(ticks))
    return bits.to_bytes(FRAME_TYPES[RC_TYPE].payload_bytes, "little")


def unpacked(payload: bytes) -> tuple[int, ...]:
    """Ticks of the 16 channels in a 22-byte payload, channel 1 first."""
    bits = int.from_bytes(payload, "little")
    mask = (1 << _CHANNEL_BITS) - 1
    return tuple(bits >> _CHANNEL_BITS * index & mask for index in range(RC_CHANNELS))
