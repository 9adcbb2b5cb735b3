"""One setting three ways → what becomes of it."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.carry.fate import Carried, Fate, Moved, Shift
from cfgaudit.compare.carry.three import NotTold, Triple, alike
from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Codec, Misfit, Range
from cfgaudit.dialect.counterpart import NoSeat
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Held, Setting, Whole
from cfgaudit.model.value import spoken


def is_changed(triple: Triple) -> bool:
    """Whether the builder had changed the setting."""
    return not alike(triple.old, triple.mine)


def carried(triple: Triple, *, one_firmware: bool) -> Carried:
    """The fate of a setting that the builder had changed."""
    mine, new, seat = triple.mine, triple.new, triple.seat
    if alike(mine, new):
        return Carried(triple, Fate.EQUAL)
    if isinstance(mine, NotTold):
        return Carried(triple, Fate.UNSAID, "your dump has no line for it, and the firmware came with one")
    if isinstance(seat, NoSeat):
        return Carried(triple, Fate.GONE)
    if mine.doubt:
        more = "" if mine.private else f": {mine.doubt}"
        return Carried(triple, Fate.NOT_ALLOWED, f"the old firmware did not take either{more}")
    if wrong := seat.wrong(mine.value):
        said = "the new firmware does not take" if mine.private else wrong
        return Carried(triple, Fate.NOT_ALLOWED, said, tuple(_nearest(mine.value, seat)))
    if one_firmware and not isinstance(new, NotTold) and not alike(triple.old, new):
        return Carried(triple, Fate.CONFLICT)
    if one_firmware:
        return _written(triple, mine, seat)
    return Carried(triple, Fate.AS_IT_IS)


def moved(triple: Triple) -> Iterator[Moved]:
    """How a setting changes that the builder had left alone; nothing if it does not."""
    old, new = triple.old, triple.new
    if alike(old, new):
        return
    if isinstance(old, NotTold):
        yield Moved(triple, Shift.NEW)
    elif not isinstance(new, NotTold):
        yield Moved(triple, Shift.MOVED)
    else:
        yield Moved(triple, Shift.GONE if isinstance(triple.seat, NoSeat) else Shift.UNTOLD)


def _written(triple: Triple, mine: Setting, seat: Seat) -> Carried:
    """Carried over, perhaps under another name, in another unit or into another range."""
    name = f"now called {seat.name}" if _keyword(mine) != seat.keyword else ""
    other = "; ".join(_otherwise(mine, seat))
    if other:
        return Carried(triple, Fate.REWRITTEN, "; ".join(filter(None, (name, other))))
    return Carried(triple, Fate.RENAMED if name else Fate.AS_IT_IS, name)


def _keyword(mine: Setting) -> str:
    return mine.form.name or mine.form.line.keyword


def _otherwise(mine: Setting, seat: Seat) -> Iterator[str]:
    """What is written otherwise, and what is allowed now."""
    values = mine.value.cells if isinstance(mine.value, Whole) else ((mine.cell, mine.field, mine.value),)
    for name, field, value in values:
        before, after = _codec(mine.form.cells[name], field), _codec(seat.form.cells[name], field)
        was, now = _text(before[0], value), _text(after[0], value)
        if was != now:
            yield "written otherwise" if mine.private else f"written {now} instead of {was}"
        if before[1] != after[1] and isinstance(value, int | float) and not isinstance(value, bool):
            yield f"allowed are {spoken(after[1].low)} to {spoken(after[1].high)} now"


def _codec(cell: Cell, field: str) -> tuple[Codec, Range]:
    """Codec and range of a cell, or of a field of a packed one."""
    return (cell.fields[field].codec, cell.fields[field].range) if field else (cell.codec, cell.range)


def _text(codec: Codec, value: Held) -> str:
    try:
        return codec.write(value)  # type: ignore[arg-type]  # the value of one cell
    except Misfit:
        return ""


def _nearest(value: Held, seat: Seat) -> Iterator[Held]:
    """The nearest number that the new firmware takes, where it is the range that forbids one."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return
    _, allowed = _codec(seat.form.cells[seat.cell], seat.field)
    near = min(max(value, allowed.low), allowed.high)
    if near != value and not seat.wrong(near):
        yield near
