"""Figures about the battery: section ``battery`` of what rules see as ``derived``.

::

    full_v              what a charged cell of this chemistry has at most
    warn_v              what the alarm must not wait below: the least under load
    empty_v             what a cell must never fall below
    usual               full_v, warn_v, empty_v as they are usually set
    in_order            the usual ones; without a known chemistry, those that are set, by size
    spoken              the chemistry's name
    pack                the same of the whole pack:
      full_v, empty_v   charged; as empty as one usually lets it become
      warn_v            where the alarm comes as it is set
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from cfgaudit.derive.inputs import number
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, told, whole, word


class Chemistry(Struct, frozen=True):
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
    """The section; Missing where the sheet names no chemistry that is known."""
    named = word(build, "battery", "chemistry").lower()
    chemistry = CHEMISTRIES.get(named)
    if chemistry is None:
        reason = f"no table here lists the chemistry {named}" if named else ""
        unknown = Missing(("build.battery.chemistry",), reason)
        section: Section = dict.fromkeys(("full_v", "warn_v", "empty_v", "usual", "spoken"), unknown)
        pack: Figure = {"full_v": unknown, "empty_v": unknown, "warn_v": _warning(model, build)}
        return {**section, "in_order": _by_size(model) or unknown, "pack": pack}
    usual: Figure = {
        "full_v": chemistry.full_v,
        "warn_v": chemistry.usual_warn_v,
        "empty_v": chemistry.least_load_v,
    }
    return {
        "full_v": chemistry.full_v,
        "warn_v": chemistry.least_load_v,
        "empty_v": chemistry.least_v,
        "usual": usual,
        "in_order": usual,
        "spoken": chemistry.name,
        "pack": {
            "full_v": _of_pack(build, chemistry.full_v),
            "empty_v": _of_pack(build, chemistry.least_load_v),
            "warn_v": _warning(model, build),
        },
    }


def _of_pack(build: Tree, cell_v: float) -> float | Missing:
    cells = whole(build, "battery", "cells")
    return Missing(("build.battery.cells",)) if cells is None else round(cells * cell_v, 2)


def _warning(model: Tree, build: Tree) -> float | Missing:
    cell_v = number(model, "model", "battery", "cell_warn_v")
    return cell_v if isinstance(cell_v, Missing) else _of_pack(build, cell_v)


def _by_size(model: Tree) -> Figure:
    told_v = [told(model, "battery", key) for key in ("cell_empty_v", "cell_warn_v", "cell_full_v")]
    volts = sorted(one for one in told_v if isinstance(one, int | float) and not isinstance(one, bool))
    return (
        dict(zip(("empty_v", "warn_v", "full_v"), volts, strict=True)) if len(volts) == len(told_v) else None
    )
