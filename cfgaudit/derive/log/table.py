"""The flight log with its sums."""

from __future__ import annotations

from cfgaudit.derive.log.section import budget_bytes, taken_bytes_s, written_bytes_s
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, said
from cfgaudit.derive.tree import Tree, branch, told

_RULES = ("logging/too-much",)
_SHEET = "the build sheet"


def table(model: Tree, build: Tree) -> Table:
    """What the log writes, and what its device can take."""
    rate, own = told(model, "logging", "rate_hz"), branch(build, "board", "log")
    page = f"{said(own.get('page_bytes'))} bytes ÷ {said(own.get('page_ms'))} ms a page"
    taken = page if "page_bytes" in own else "declared"
    rows = (
        _row(
            "written",
            written_bytes_s(model, build),
            "bytes/s",
            f"{said(own.get('record_bytes'))} bytes × {said(rate)} Hz",
        ),
        _row("what the device takes", taken_bytes_s(build), "bytes/s", taken),
        _row(
            "room for a record",
            budget_bytes(model, build),
            "bytes",
            f"{said(taken_bytes_s(build))} ÷ {said(rate)} Hz",
        ),
    )
    return Table("log", "what the flight log writes, and what its device can take", rows)


def _row(what: str, value: float | Missing, unit: str, sum: str) -> Quantity:
    return Quantity("", what, value, unit, "" if isinstance(value, Missing) else sum, _SHEET, _RULES)
