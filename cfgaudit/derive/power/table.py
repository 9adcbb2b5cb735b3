"""Power with its sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.power.plugs import PLUGS, SILICONE_A_PER_MM2, section_mm2
from cfgaudit.derive.power.section import pack_a, peak_a, plug_a, rails, wire_stands_a
from cfgaudit.derive.quantity import Quantity, Table, figure, said
from cfgaudit.derive.tree import Tree, branches, told, whole, word

_SHEET = "the build sheet"
_WIRE = "ASTM B258 for the section; 25 A/mm² of silicone wire: sparks.gogo.co.nz, a rule of thumb"


def table(model: Tree, build: Tree) -> Table:
    """What the motors and devices draw, and what pack, plug, wire and rails can give."""
    return Table("power", "what is drawn, and what pack, plug, wire and rails can give", tuple(_rows(build)))


def _rows(build: Tree) -> Iterator[Quantity]:
    motors = len(dict(branches(build, "motors", "places")))
    battery = {key: told(build, "battery", key) for key in ("capacity_mah", "c_rating")}
    yield _row(
        "motors, all at their peak",
        peak_a(build),
        f"{motors} × {said(told(build, 'motors', 'peak_a'))} A",
        _SHEET,
        "power/pack-too-weak",
        "power/esc-too-small",
    )
    yield _row(
        "pack, continuously",
        pack_a(build),
        f"{said(battery['capacity_mah'])} mAh ÷ 1,000 × {said(battery['c_rating'])} C",
        _SHEET,
        "power/pack-too-weak",
    )
    name = word(build, "battery", "connector")
    source = PLUGS[name].source if name in PLUGS else ""
    yield _row("its plug, at the peak", plug_a(build), name, source, "power/plug-too-small")
    gauge = whole(build, "battery", "wire_awg")
    section = (
        f"{figure(section_mm2(gauge), 3)} mm² × {SILICONE_A_PER_MM2} A/mm², AWG {gauge}" if gauge else ""
    )
    yield _row("its wire", wire_stands_a(build), section, _WIRE, "power/wire-too-thin")
    for rail, draws in rails(build):
        missing = next((draw for _, draw in draws if isinstance(draw, Missing)), None)
        known = [(device, draw) for device, draw in draws if not isinstance(draw, Missing)]
        total = missing or sum(draw for _, draw in known)
        items = " + ".join(f"{device} {figure(draw)}" for device, draw in known)
        rated = said(told(build, "board", "rails", rail, "amps"))
        yield Quantity(
            f"rail {rail}",
            f"drawn of {rated} A",
            total,
            "A",
            "" if missing else items,
            _SHEET,
            ("power/rail-overloaded",),
        )


def _row(what: str, value: float | Missing, sum: str, source: str, *rules: str) -> Quantity:
    return Quantity("", what, value, "A", "" if isinstance(value, Missing) else sum, source, rules)
