"""Plugs and wire: what current they stand. Rules of thumb, not ratings for a given installation.

Sources: XT60 from an encyclopedia page that cites its maker; XT30 from memory; wire sections computed
from the definition of AWG (ASTM B258: 36 AWG is 0.005 inch, 39 steps to 0.46 inch), with the rule of
25 A for each mm² of silicone wire as read at sparks.gogo.co.nz, silicone-wire-current-capacity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

SILICONE_A_PER_MM2 = 25
_INCH_MM = 25.4


class Plug(Struct, frozen=True):
    """What a plug stands, in ampere."""

    continuous_a: float
    peak_a: float
    source: str


PLUGS: Mapping[str, Plug] = MappingProxyType(
    {
        "XT30": Plug(15, 30, "from memory"),
        "XT60": Plug(30, 60, "an encyclopedia page citing the maker"),
    }
)


def section_mm2(awg: int) -> float:
    """The copper section of a wire gauge in mm². Source: ASTM B258."""
    diameter = 0.005 * math.pow(92, (36 - awg) / 39) * _INCH_MM
    return math.pi / 4 * diameter**2


def wire_a(awg: int) -> float:
    """What a short silicone wire of a gauge stands, by the rule of thumb, in ampere."""
    return section_mm2(awg) * SILICONE_A_PER_MM2
