"""Receiver links: how many radio channels each protocol carries.

Source, row by row: the CRSF specification (tbs-crsf-spec 1285bbc); Zephyr's SBUS driver
(``input_sbus.c``); the IBusBM library (``IBusBM.cpp``); the README of redmilenium/SUMD for the
sixteen-channel frame. What is marked *memory* is common practice of the trade, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct


class Link(Struct, frozen=True):
    """What one protocol carries: channels with a travel, and on-off channels numbered after them."""

    proportional: int
    on_off: int = 0

    @property
    def channels(self) -> int:
        """The highest channel number that arrives."""
        return self.proportional + self.on_off


# By the words of receiver.link.
LINKS: Mapping[str, Link] = MappingProxyType(
    {
        "crsf": Link(16),
        "sbus": Link(16, on_off=2),
        "ibus": Link(14),
        "sumd": Link(16),
        "fport": Link(16, on_off=2),  # memory: SBUS's channels in another frame
        "ghst": Link(12),  # memory
        "dsm": Link(12),  # memory: two frames of up to seven, twelve used
        "ppm": Link(8),  # memory: what fits a 22.5 ms frame with its pause
    }
)
