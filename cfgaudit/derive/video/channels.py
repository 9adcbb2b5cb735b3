"""Channels: from a band plan and a number to the centre frequency in MHz.

Sources: Wi-Fi numbering of IEEE 802.11 (17.3.8.3.2 and Annex J: 5000 + 5 n MHz, 2407 + 5 n MHz, channel
14 at 2484 MHz). The lettered plans of analogue video at 5.8 GHz are common practice of the trade, from
memory; no standard has them.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

WIFI = "WIFI"

# Band letter → centre of channel 1, 2 … in MHz.
ANALOGUE: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {
        "A": (5865, 5845, 5825, 5805, 5785, 5765, 5745, 5725),
        "B": (5733, 5752, 5771, 5790, 5809, 5828, 5847, 5866),
        "E": (5705, 5685, 5665, 5645, 5885, 5905, 5925, 5945),
        "F": (5740, 5760, 5780, 5800, 5820, 5840, 5860, 5880),
        "R": (5658, 5695, 5732, 5769, 5806, 5843, 5880, 5917),
    }
)


def centre_mhz(plan: str, channel: int) -> int:
    """The centre frequency of a channel of a plan: a letter, or ``wifi``. Raises ValueError for none."""
    name = plan.upper()
    if name == WIFI:
        return _wifi_mhz(channel)
    if name not in ANALOGUE:
        raise ValueError(
            f"the channels of band plan {plan} are not known here, only wifi, {', '.join(ANALOGUE)}"
        )
    if not 1 <= channel <= len(ANALOGUE[name]):
        raise ValueError(f"band {name} has the channels 1 to {len(ANALOGUE[name])}")
    return ANALOGUE[name][channel - 1]


def _wifi_mhz(channel: int) -> int:
    if channel == 14:
        return 2484
    if 1 <= channel <= 13:
        return 2407 + 5 * channel
    if 182 <= channel <= 196:
        return 4000 + 5 * channel
    if 32 <= channel <= 177:
        return 5000 + 5 * channel
    raise ValueError(f"Wi-Fi has no channel {channel} at 2.4 or 5 GHz")
