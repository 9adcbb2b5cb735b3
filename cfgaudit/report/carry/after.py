"""The report of a firmware update that was made: what arrived, what did not, what nobody planned."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.carry.arrived import Arrival, Landed
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import SURE
from cfgaudit.compare.carry.three import NotTold, Side
from cfgaudit.compare.carry.words import told
from cfgaudit.compare.change import Weight
from cfgaudit.compare.weights import rank
from cfgaudit.report.carry.paper import Update
from cfgaudit.report.carry.rows import heading
from cfgaudit.report.carry.words import missing_words, weight_of
from cfgaudit.report.diff import group_lines
from cfgaudit.report.finding import BLANK, LEVEL, labelled
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line, Role
from cfgaudit.report.words import counted, one_line


def after_lines(update: Update) -> Iterator[Line]:
    """What came of the plan by the later dump."""
    for arrival in update.arrival:
        yield from _arrived(arrival)
        for one in missing(arrival):
            yield from _missing(one, update.plan)
        yield from _beside(arrival)


def missing(arrival: Arrival) -> tuple[Landed, ...]:
    """The sure changes that did not arrive, weightiest first."""
    return tuple(sorted(arrival.missing, key=lambda one: rank(weight_of(one.carried.triple))))


def _arrived(arrival: Arrival) -> Iterator[Line]:
    sure = [one for one in arrival.landed if one.carried.fate in SURE]
    there = sum(one.there for one in sure)
    if there == len(sure):
        yield heading(
            f"Arrived: all {there} that were to be carried over" if sure else "Nothing was to arrive"
        )
    else:
        verb = "arrived" if there else "None arrived"
        yield heading(
            f"Did not arrive: {len(sure) - there} of {len(sure)} that were to be carried over; {there} {verb}"
        )
    yield BLANK


def _missing(one: Landed, plan: Plan) -> Iterator[Line]:
    triple = one.carried.triple
    hurts = weight_of(triple) is Weight.HURT
    role: Role = "error" if hurts else "warning"
    now = f", it is {told(one.now)}" if not isinstance(one.now, NotTold) else ""
    yield (
        (role, f"{'MISSING':<{LEVEL}}"),
        ("strong", f"{triple.named.label}: you had {told(triple.mine)}{now}"),
        *((("plain", "    "), ("warning", "! can hurt")) if hurts else ()),
    )
    places = [("yours", triple.mine), ("now", one.now)]
    width = max(
        (len(safe(str(side.origin))) for _, side in places if not isinstance(side, NotTold)), default=0
    )
    for word, side in places:
        yield from labelled(word, _place(side, width))
    yield from labelled("perhaps", [(("plain", one_line(missing_words(one))),)])
    yield BLANK


def _place(side: Side, width: int) -> Iterator[Line]:
    if not isinstance(side, NotTold):
        yield (("quiet", f"{safe(str(side.origin)):<{width}}   "), ("plain", side.line))


def _beside(arrival: Arrival) -> Iterator[Line]:
    changes = arrival.beside.changes
    if not changes:
        yield heading("Nothing is there that the plan does not explain")
        yield BLANK
        return
    yield heading(f"There, and not explained by the plan: {counted(len(changes), 'change')}")
    yield from group_lines(changes, every=False)
