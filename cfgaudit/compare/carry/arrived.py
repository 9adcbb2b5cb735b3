"""An update after it was made: what the later dump has of the plan, and what it has beside it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import SURE, Carried, Fate
from cfgaudit.compare.carry.three import NOT_TOLD, NotTold, Side, alike
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.dialect.counterpart import NoSeat
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Setting, Whole, settings


class Landed(Struct, frozen=True):
    """A change of the builder's, and what the dump after the update says of it.

    ``there``: it says what the builder had. ``why`` is what may have happened if it does not.
    """

    carried: Carried
    now: Side
    there: bool
    why: str = ""


class Arrival(Struct, frozen=True):
    """What came of an update. ``beside``: what the plan does not explain."""

    after: Reading
    landed: tuple[Landed, ...]
    beside: Comparison

    @property
    def missing(self) -> tuple[Landed, ...]:
        """The sure changes that did not arrive."""
        return tuple(one for one in self.landed if not one.there and one.carried.fate in SURE)


def arrival(plan: Plan, after: Reading) -> Arrival:
    """Hold a dump that was taken after the update against the plan."""
    landed = tuple(_landed(one, after) for one in plan.carried if one.fate is not Fate.UNSAID)
    slots = [one.carried.triple.seat.slot for one in landed if isinstance(one.carried.triple.seat, Seat)]
    explained = laid_over(plan.planned, (after.in_force[at] for at in slots if at in after.in_force))
    return Arrival(after, landed, compare(explained, after))


def _landed(one: Carried, after: Reading) -> Landed:
    now = _now(one, after)
    if isinstance(one.triple.seat, NoSeat):
        return Landed(one, now, False, "there is no such setting now")
    if alike(one.triple.mine, now):
        return Landed(one, now, True)
    return Landed(one, now, False, "; ".join(_perhaps(one, now)))


def _now(one: Carried, after: Reading) -> Side:
    """What the later dump says where the setting would be."""
    seat, named = one.triple.seat, one.triple.named
    entry = after.in_force.get(seat.slot) if isinstance(seat, Seat) else None
    if entry is None or isinstance(seat, NoSeat):
        return NOT_TOLD
    found = settings(seat.slot, entry, whole=isinstance(named.value, Whole))
    return next((it for it in found if (it.cell, it.field) == (seat.cell, seat.field)), NOT_TOLD)


def _perhaps(one: Carried, now: Side) -> Iterator[str]:
    mine, seat = one.triple.mine, one.triple.seat
    if isinstance(now, NotTold):
        yield "the later dump does not tell it"
    elif isinstance(mine, Setting) and not isinstance(mine.value, Whole) and _text(mine) == _text(now):
        yield f"your old text {mine.written} was typed as it stood, and means something else now"
    elif alike(now, one.triple.new):
        if isinstance(seat, Seat) and one.fate is Fate.RENAMED:
            yield f"still as the new firmware comes: its old name was not understood ({one.why})"
        elif isinstance(seat, Seat) and one.fate is Fate.REWRITTEN:
            yield f"still as the new firmware comes: what was typed was perhaps refused ({one.why})"
        else:
            yield "still as the new firmware comes"
    else:
        yield "it has a third value"


def _text(side: Setting) -> str:
    return side.entry.texts.get(side.cell, "")
