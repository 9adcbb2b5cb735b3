"""Frames that devices put on their lines: sizes in bytes, with framing and source.

The sizes are whole frames, headers and checksums included. What is marked *memory* is common
practice of the trade, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

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


# By the words of receiver.link and of a receiver's ``speaks``: the frame that carries the channels.
RECEIVER: Mapping[str, Frame] = MappingProxyType(
    {
        "crsf": Frame("CRSF channels", 26, "tbs-crsf-spec 1285bbc, frame 0x16: 22 bytes of payload + 4"),
        "sbus": Frame("SBUS channels", 25, "Zephyr's drivers/input/input_sbus.c", "8E2"),
        "ibus": Frame("IBUS channels", 32, "IBusBM.cpp of bmellink/IBusBM"),
        "sumd": Frame("SUMD, 16 channels", 37, "README of redmilenium/SUMD: 3 + 2 × 16 + 2 bytes"),
        "dsm": Frame("DSM remote receiver", 16, "an mbed library's header; 8N1 from memory"),
        "ghst": Frame("GHST channels", 14, _MEMORY),
        "fport": Frame("FPort channels", 29, _MEMORY),
    }
)

# UBX messages of a position receiver, by class and name.
UBX: Mapping[str, Frame] = MappingProxyType(
    {
        name: Frame(f"UBX {name}", size, _UBX)
        for name, size in (
            ("NAV-PVT", 100),
            ("NAV-POSLLH", 36),
            ("NAV-VELNED", 44),
            ("NAV-SOL", 60),
            ("NAV-STATUS", 24),
            ("NAV-DOP", 26),
            ("NAV-TIMEUTC", 28),
        )
    }
)
NMEA = Frame("NMEA 0183 sentence, the longest", 82, "NMEA 0183 3.01, section 5.3: 82 characters at most")

# MAVLink 2 messages without signature, at their full length: trailing zeros may be left out on the line.
MAVLINK: Mapping[str, Frame] = MappingProxyType(
    {
        name: Frame(f"MAVLink {name}", size, _MAVLINK)
        for name, size in (
            ("HEARTBEAT", 21),
            ("SYS_STATUS", 55),
            ("PARAM_VALUE", 37),
            ("GPS_RAW_INT", 64),
            ("ATTITUDE", 40),
            ("GLOBAL_POSITION_INT", 40),
            ("RC_CHANNELS", 54),
            ("VFR_HUD", 32),
            ("BATTERY_STATUS", 66),
        )
    }
)
ESC = Frame("ESC report", 10, "an ESC vendor's page, docs.hargravetechnologies.com: serial telemetry")
