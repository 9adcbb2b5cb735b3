"""The report of a firmware update: what changes without the builder."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.compare.carry.fate import Moved, Shift
from cfgaudit.compare.change import Weight
from cfgaudit.report.carry.paper import Update
from cfgaudit.report.carry.rows import Row, heading, origin_of, row_lines
from cfgaudit.report.carry.words import of_shift, shift_words, weight_of
from cfgaudit.report.finding import BLANK
from cfgaudit.report.style import Line
from cfgaudit.report.words import counted


def moved_lines(update: Update, show_all: bool) -> Iterator[Line]:
    """Other values that the firmware comes with, weightiest first; then what is new, and what is gone."""
    plan = update.plan
    one = plan.one_firmware
    yield from _values(of_shift(plan, Shift.MOVED))
    new, gone = of_shift(plan, Shift.NEW), of_shift(plan, Shift.GONE)
    yield from _listed("New in this firmware, as it comes", new, True)
    left = "that you had left alone"
    yield from _listed(f"Gone, {left}" if one else f"Without a counterpart, {left}", gone, one or show_all)
    silent = of_shift(plan, Shift.UNTOLD)
    yield from _listed(f"Not told by the new firmware's dump, {left}", silent, show_all)


def _values(found: Sequence[Moved]) -> Iterator[Line]:
    if not found:
        return
    yield heading(f"Changed without you: {counted(len(found), 'setting')} that you had left alone")
    for weight in Weight:
        group = [one for one in found if weight_of(one.triple) is weight]
        if group:
            yield heading(f"  {weight.value}", "error" if weight is Weight.HURT else "plain")
            yield from row_lines((_row(one) for one in group), 4)
    yield BLANK


def _listed(what: str, found: Sequence[Moved], listed: bool) -> Iterator[Line]:
    if not found:
        return
    more = "" if listed else " (--all lists them)"
    yield heading(f"{what}: {counted(len(found), 'setting')}{more}")
    if listed:
        yield from row_lines(_row(one) for one in found)
    yield BLANK


def _row(one: Moved) -> Row:
    side = one.triple.old if one.shift in (Shift.GONE, Shift.UNTOLD) else one.triple.new
    return Row(one.triple.named.label, shift_words(one), origin_of(side))
