"""Figures about the battery: section ``battery`` of what rules see as ``derived``.

::

    full_v              what a charged cell of this chemistry has at most
    warn_v              what the alarm must not wait below: the least under load
    empty_v             what a cell must never fall below
    usual               full_v, warn_v, empty_v as they are usually set
    spoken              the chemistry's name
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cfgaudit.derive.missing import Missing, Section
from cfgaudit.derive.tree import Tree, word


@dataclass(frozen=True, slots=True)
class Chemistry:
    """Volts of one cell."""

    name: str
    full_v: float
    usual_warn_v: float
    least_load_v: float  # under load; below it a pack gives nothing more and suffers
    least_v: float  # at rest; below it a cell is damaged


# LiPo: read in published guides (forum.digikey.com 19946; hobbygraderc.com, LiPo voltage guide;
# aga-power.com, working range), the usual alarm from memory. LiHV and Li-ion: from memory.
CHEMISTRIES: Mapping[str, Chemistry] = MappingProxyType(
    {
        "lipo": Chemistry("LiPo", full_v=4.20, usual_warn_v=3.50, least_load_v=3.30, least_v=3.00),
        "lihv": Chemistry("LiHV", full_v=4.35, usual_warn_v=3.50, least_load_v=3.30, least_v=3.00),
        "li-ion": Chemistry("Li-ion", full_v=4.20, usual_warn_v=3.00, least_load_v=2.80, least_v=2.50),
    }
)


def battery(model: Tree, build: Tree) -> Section:
    """The section; everything in it is Missing where the sheet names no chemistry that is known."""
    named = word(build, "battery", "chemistry").lower()
    chemistry = CHEMISTRIES.get(named)
    if chemistry is None:
        reason = f"no table here lists the chemistry {named}" if named else ""
        unknown = Missing(("build.battery.chemistry",), reason)
        return dict.fromkeys(("full_v", "warn_v", "empty_v", "usual", "spoken"), unknown)
    return {
        "full_v": chemistry.full_v,
        "warn_v": chemistry.least_load_v,
        "empty_v": chemistry.least_v,
        "usual": {
            "full_v": chemistry.full_v,
            "warn_v": chemistry.usual_warn_v,
            "empty_v": chemistry.least_load_v,
        },
        "spoken": chemistry.name,
    }
