"""Pulse protocols from flight controller to ESC: a pulse whose length is the throttle.

Source: common practice of the trade, from memory: the servo pulse of 1,000 to 2,000 µs, and its
eighth. DShot has frames instead, see ``dshot``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cfgaudit.derive.dshot import BIT_RATES, times

# The words of motors.protocol that are pulses → the longest pulse in µs.
LONGEST_US: Mapping[str, float] = MappingProxyType({"pulse": 2000.0, "oneshot125": 250.0})


def update_us(protocol: str, bidirectional: bool) -> float:
    """How long one throttle update keeps the wire busy, in µs: the longest pulse, or a frame with its reply.

    Raises ValueError for a protocol that is not known here.
    """
    if protocol in BIT_RATES:
        return times(BIT_RATES[protocol]).exchange_us(bidirectional)
    if protocol in LONGEST_US:
        return LONGEST_US[protocol]
    raise ValueError(f"how long an update takes over {protocol} is not known here")
