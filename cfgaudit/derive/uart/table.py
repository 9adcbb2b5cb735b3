"""Serial clocks with their sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree, branch
from cfgaudit.derive.uart.section import Made, made_rates

_TITLE = "the rates that the chip really makes"
_DIVIDER = (
    "ST RM0090 rev 11, section 30.3.4 (F4); RM0440 rev 4, section 37.5.7 (G4 and later); "
    "which bus feeds a port: RM0090 for the F4, the others from memory"
)
_TOLERANCE = "ST RM0351 rev 3, table 194"
_RULES = ("serial/rate-not-made", "serial/rate-inexact")


def table(model: Tree, build: Tree) -> Table:
    """What the chip's dividers make of the rates that the dump sets."""
    if not branch(model, "ports"):
        gap = Missing(("model.ports",))
        return Table("uart", _TITLE, (Quantity("", "real rate", gap, "baud", "", _DIVIDER, _RULES),))
    rows = tuple(row for id, made in made_rates(model, build) for row in _rows(id, made))
    return Table("uart", _TITLE, rows)


def _rows(id: str, made: Made | Missing) -> Iterator[Quantity]:
    if isinstance(made, Missing):
        yield Quantity(id, "real rate", made, "baud", "", _DIVIDER, _RULES)
        return
    part, clock = made.divider, made.divider.clock_hz
    bus = made.bus.removesuffix("_mhz").upper()
    by = f"{part.steps:,}" if part.per == 1 else f"({part.steps:,} ÷ 256)"
    real = float(part.real_baud)
    sampled = f", sampled {part.over} times a bit" if part.per == 1 else ""
    yield Quantity(
        id,
        f"real rate for {made.job}",
        round(real, 1),
        "baud",
        f"{bus} {clock:,} Hz ÷ {by} {_equals(real)}{sampled}",
        _DIVIDER,
        _RULES,
    )
    error = part.error_percent
    yield Quantity(
        id,
        "rate error",
        round(error, 3),
        "%",
        f"{figure(round(real, 1), 9)} ÷ {part.baud:,} − 1 = {error:+.3f} %",
        _DIVIDER,
        _RULES,
    )
    yield Quantity(
        id,
        "tolerance, both ends together",
        made.tolerance_percent,
        "%",
        f"frames of {made.bits} bits, sampled {part.over} times a bit",
        _TOLERANCE,
        _RULES,
    )


def _equals(real: float) -> str:
    sign = "=" if real == round(real, 1) else "≈"
    return f"{sign} {figure(round(real, 1), 9)}"
