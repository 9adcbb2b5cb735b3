"""Frames that devices put on their lines: sizes in bytes, with framing and source.

The sizes are whole frames, headers and checksums included. What is marked *memory* is common
practice of the trade, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from cfgaudit.derive import crsf

PLAIN = "8N1"  # what everything here uses unless its frame says otherwise

_UBX = "pyubx2 1.4.0: payload + 8 bytes"
_MAVLINK = "the MAVLink 2 common dialect as in pymavlink 2.4.50: payload + 12 bytes"
_MEMORY = "common practice, from memory"


class Frame(Struct, frozen=True):
    """One kind of frame."""

    name: str
    bytes: int
    source: str
    format: str = PLAIN


def _framed(protocol: str, payload: Mapping[str, int], around: int, source: str) -> Mapping[str, Frame]:
    """Messages of one protocol, from the bytes of their payloads and those around each."""
    frames = {name: Frame(f"{protocol} {name}", size + around, source) for name, size in payload.items()}
    return MappingProxyType(frames)


# By the words of receiver.link and of a receiver's ``speaks``: the frame that carries the channels.
RECEIVER: Mapping[str, Frame] = MappingProxyType(
    {
        "crsf": Frame(
            "CRSF channels",
            crsf.FRAME_TYPES[crsf.RC_TYPE].frame_bytes,
            "tbs-crsf-spec 1285bbc, frame 0x16: 22 bytes of payload + 4",
        ),
        "sbus": Frame("SBUS channels", 25, "Zephyr's drivers/input/input_sbus.c", "8E2"),
        "ibus": Frame("IBUS channels", 32, "IBusBM.cpp of bmellink/IBusBM"),
        "sumd": Frame("SUMD, 16 channels", 37, "README of redmilenium/SUMD: 3 + 2 × 16 + 2 bytes"),
        "dsm": Frame("DSM remote receiver", 16, "an mbed library's header; 8N1 from memory"),
        "ghst": Frame("GHST channels", 14, _MEMORY),
        "fport": Frame("FPort channels", 29, _MEMORY),
    }
)

# UBX messages of a position receiver, by class and name.
_UBX_PAYLOAD = {
    "NAV-PVT": 92,
    "NAV-POSLLH": 28,
    "NAV-VELNED": 36,
    "NAV-SOL": 52,
    "NAV-STATUS": 16,
    "NAV-DOP": 18,
    "NAV-TIMEUTC": 20,
}
UBX: Mapping[str, Frame] = _framed("UBX", _UBX_PAYLOAD, 8, _UBX)
NMEA = Frame("NMEA 0183 sentence, the longest", 82, "NMEA 0183 3.01, section 5.3: 82 characters at most")

# MAVLink 2 messages without signature, at their full length: trailing zeros may be left out on the line.
_MAVLINK_PAYLOAD = {
    "HEARTBEAT": 9,
    "SYS_STATUS": 43,
    "PARAM_VALUE": 25,
    "GPS_RAW_INT": 52,
    "ATTITUDE": 28,
    "GLOBAL_POSITION_INT": 28,
    "RC_CHANNELS": 42,
    "VFR_HUD": 20,
    "BATTERY_STATUS": 54,
}
MAVLINK: Mapping[str, Frame] = _framed("MAVLink", _MAVLINK_PAYLOAD, 12, _MAVLINK)
ESC = Frame("ESC report", 10, "an ESC vendor's page, docs.hargravetechnologies.com: serial telemetry")
