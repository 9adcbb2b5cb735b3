"""The flight log with its sums."""

from __future__ import annotations

from cfgaudit.derive.log.section import budget_bytes, taken_bytes_s, written_bytes_s
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree, branch, told

_RULES = ("logging/too-much",)
_SHEET = "the build sheet"


def table(model: Tree, build: Tree) -> Table:
    """What the log writes, and what its device can take."""
    rate, own = told(model, "logging", "rate_hz"), branch(build, "board", "log")
    page = f"{_said(own.get('page_bytes'))} bytes ÷ {_said(own.get('page_ms'))} ms a page"
    taken = page if "page_bytes" in own else "declared"
    rows = (
        _row(
            "written",
            written_bytes_s(model, build),
            "bytes/s",
            f"{_said(own.get('record_bytes'))} bytes × {_said(rate)} Hz",
        ),
        _row("what the device takes", taken_bytes_s(build), "bytes/s", taken),
        _row(
            "room for a record",
            budget_bytes(model, build),
            "bytes",
            f"{_said(taken_bytes_s(build))} ÷ {_said(rate)} Hz",
        ),
    )
    return Table("log", "what the flight log writes, and what its device can take", rows)


def _row(what: str, value: float | Missing, unit: str, sum: str) -> Quantity:
    return Quantity("", what, value, unit, "" if isinstance(value, Missing) else sum, _SHEET, _RULES)


def _said(value: object) -> str:
    return figure(value) if isinstance(value, int | float) else "?"
