"""What is doubtful about an update, as remarks with the lines that a person may choose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from cfgaudit.compare.carry.fate import SURE, Carried, Fate, Moved, Shift
from cfgaudit.compare.carry.line import ScriptLine, scripted
from cfgaudit.compare.carry.words import doubt_of, shift_of, unsaid_lines
from cfgaudit.dialect.counterpart import NoSeat
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.row import Desk, Row, Unwritable, line
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Held, Setting


def unsaid(desk: Desk, changes: Iterable[Carried], mine: Reading) -> Iterator[ScriptLine]:
    """What the builder's dump does not tell, in one remark: unknown is not changed."""
    about = tuple(one for one in changes if one.fate is Fate.UNSAID)
    if about:
        names = ", ".join(unsaid_lines(about, mine))
        yield _plain(desk, f"your dump does not tell, so left as it comes: {names}", *about)


def remarks(
    desk: Desk, changes: Iterable[Carried], shifts: Iterable[Moved], taken: Mapping[Slot, Row]
) -> Iterator[tuple[Row | NoSeat, ScriptLine]]:
    """What is doubtful, each with the lines that a person may choose, at their place."""
    for one in changes:
        if one.fate not in (*SURE, Fate.EQUAL, Fate.UNSAID):
            yield from _remark(desk, one, doubt_of(one), [*_choices(desk, one, taken)])
    for shift in shifts:
        if shift.shift is Shift.MOVED and not shift.triple.named.private:
            yield from _remark(desk, shift, shift_of(shift), [*_former(desk, shift, taken)])


_Choice = tuple[Row, str, str]  # the line, what to say before it, its text


def _remark(
    desk: Desk, about: Carried | Moved, doubt: str, choices: Sequence[_Choice]
) -> Iterator[tuple[Row | NoSeat, ScriptLine]]:
    homes = [row for row, _, _ in choices if not row.opens]
    yield homes[0] if homes else NoSeat(), _plain(desk, doubt, about)
    for row, said, text in choices:
        at = NoSeat() if row.opens else row
        if said:
            yield at, _plain(desk, said, about)
        yield at, scripted(desk, row, text, (about,), remark=True)


def _plain(desk: Desk, text: str, *about: Carried | Moved) -> ScriptLine:
    """A remark that holds no value of the builder's but such as may be shown."""
    return ScriptLine(f"{desk.reading.dialect.remark} {' '.join(text.split())}", about, remark=True)


def _choices(desk: Desk, one: Carried, taken: Mapping[Slot, Row]) -> Iterator[_Choice]:
    """The lines that may be what the builder wants."""
    mine, seat = one.triple.mine, one.triple.seat
    if not isinstance(mine, Setting):
        return
    if isinstance(seat, Seat):
        if one.fate is Fate.CONFLICT:
            yield from _choice(desk, seat, mine.value, "", taken)
        for value in one.value:
            yield from _choice(desk, seat, value, "the nearest that is allowed:", taken)
    for each in one.proposals:
        said = f"perhaps it is this one now ({', '.join(each.why)}):"
        yield from _choice(desk, each.seat, mine.value, said, taken)


def _former(desk: Desk, shift: Moved, taken: Mapping[Slot, Row]) -> Iterator[_Choice]:
    """The line that sets a value again that the firmware has changed by itself."""
    old, seat = shift.triple.old, shift.triple.seat
    if isinstance(old, Setting) and isinstance(seat, Seat):
        yield from _choice(desk, seat, old.value, "", taken)


def _choice(desk: Desk, seat: Seat, value: Held, said: str, taken: Mapping[Slot, Row]) -> Iterator[_Choice]:
    row = taken.get(seat.slot, seat.row(desk.reading, ()))
    row = replace(row, wishes=(*row.wishes, *seat.wishes(value)))
    try:
        yield row, said, line(desk, row)
    except Unwritable:
        return
