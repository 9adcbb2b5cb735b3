"""An update after it was made: what the later dump has of the plan, and what it has beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import SURE, Carried, Fate
from cfgaudit.compare.carry.three import NOT_TOLD, NotTold, Side, alike
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.dialect.counterpart import NoSeat
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Entry, Reading, Slot
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import WHOLE, Setting, Whole, settings
from cfgaudit.dialect.typed import said


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


def arrival(plan: Plan, after: Reading, mended: Sequence[Reading] = ()) -> Arrival:
    """Hold a dump that was taken after the update against the plan.

    What the script left to the builder to decide is explained either way: a value that is as it was
    before the update, a proposal that was taken up. ``mended``: configurations with mends; where the dump
    has a line of theirs, that is explained too.
    """
    landed = tuple(_landed(one, after) for one in plan.carried if one.fate is not Fate.UNSAID)
    cells = {*_decided(plan, landed, after)}
    explained = laid_over(plan.planned, _explained(plan.planned, after, cells, mended))
    return Arrival(after, landed, compare(explained, after))


_Cell = tuple[Slot, str]  # a line, and a cell of it; WHOLE for all of them


def _decided(plan: Plan, landed: Iterable[Landed], after: Reading) -> Iterator[_Cell]:
    """The cells on which the later dump's word counts, whatever it is, and those decided as offered."""
    for one in landed:
        triple = one.carried.triple
        if isinstance(triple.seat, Seat):
            yield triple.seat.slot, triple.seat.cell
        for each in one.carried.proposals:
            if alike(triple.mine, _at(each.seat, triple.mine, after)):
                yield each.seat.slot, each.seat.cell
    for shift in plan.moved:
        seat = shift.triple.seat
        if isinstance(seat, Seat) and alike(shift.triple.old, _at(seat, shift.triple.old, after)):
            yield seat.slot, seat.cell


def _explained(
    planned: Reading, after: Reading, cells: Iterable[_Cell], mended: Sequence[Reading]
) -> Iterator[Entry]:
    """The planned lines with the later dump's word on some of their cells."""
    lines: dict[Slot, set[str]] = {}
    for at, cell in cells:
        lines.setdefault(at, set()).add(cell)
    for at, now in after.in_force.items():
        was, own = planned.in_force.get(at), lines.get(at, set())
        others = was is None or WHOLE in own or now.texts.keys() != was.texts.keys()
        is_mended = any(said(one.in_force[at]) == said(now) for one in mended if at in one.in_force)
        if is_mended or (own and others):
            yield now
        elif own and was:
            yield replace(
                was, texts={**was.texts, **{cell: now.texts[cell] for cell in own if cell in now.texts}}
            )


def _landed(one: Carried, after: Reading) -> Landed:
    now = _now(one, after)
    if isinstance(one.triple.seat, NoSeat):
        return Landed(one, now, False, "there is no such setting now")
    if alike(one.triple.mine, now):
        return Landed(one, now, True)
    return Landed(one, now, False, "; ".join(_perhaps(one, now)))


def _now(one: Carried, after: Reading) -> Side:
    """What the later dump says where the setting would be."""
    seat = one.triple.seat
    return _at(seat, one.triple.named, after) if isinstance(seat, Seat) else NOT_TOLD


def _at(seat: Seat, like: Side, after: Reading) -> Side:
    """What a dump has at a seat, as a whole line if that is what the setting is."""
    entry = after.in_force.get(seat.slot)
    if entry is None:
        return NOT_TOLD
    whole = isinstance(like, Setting) and isinstance(like.value, Whole)
    found = settings(seat.slot, entry, whole=whole)
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
    elif now.value in one.value:
        yield "it has the nearest value that is allowed"
    else:
        yield "it has a third value"


def _text(side: Setting) -> str:
    return side.entry.texts.get(side.cell, "")
