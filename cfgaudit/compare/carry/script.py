"""The lines that carry a builder's settings over, and beside them in remarks all that is doubtful."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.compare.carry.doubt import remarks, unsaid
from cfgaudit.compare.carry.fate import SURE, Carried, Fate, Moved
from cfgaudit.compare.carry.line import ScriptLine, scripted
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.counterpart import NoSeat
from cfgaudit.dialect.order import in_order
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.row import Desk, Row, Unwritable, Wish, line
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Setting, Whole
from cfgaudit.dialect.write import rows
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value


class Script(Struct, frozen=True):
    """The script, and the changes as they turned out: a line may prove impossible to write."""

    lines: tuple[ScriptLine, ...]
    carried: tuple[Carried, ...]


def script(
    mine: Reading, new: Reading, changes: Sequence[Carried], shifts: Iterable[Moved], *, one_firmware: bool
) -> Script:
    """Write the sure changes as lines in an order that works, and remarks at their place on what is doubtful.

    Doubtful are the other changes, and values that the firmware has changed by itself.
    """
    desk = Desk(new)
    sure = [one for one in changes if one.fate in SURE]
    groups = [*(_by_slot(new, sure) if one_firmware else _by_path(new, sure))]
    live: list[tuple[Row, ScriptLine]] = []
    failed: dict[int, str] = {}
    for about, row in groups:
        try:
            if isinstance(row, Unwritable):
                raise row
            live.append((row, scripted(desk, row, line(desk, row), about)))
        except Unwritable as reason:
            failed |= dict.fromkeys(map(id, about), f"cannot be written: {_brief(reason)}")
    turned = tuple(
        replace(one, fate=Fate.NOT_ALLOWED, why=failed[id(one)]) if id(one) in failed else one
        for one in changes
    )
    taken = {row.slot: row for row, _ in live}
    homeless = [*unsaid(desk, turned, mine)]
    seated: list[tuple[Row, ScriptLine]] = []
    for home, made in remarks(desk, turned, shifts, taken):
        if isinstance(home, NoSeat):
            homeless.append(made)
        else:
            seated.append((home, made))
    order = {at: n for n, at in enumerate(new.in_force)}
    live.sort(key=lambda one: (_takes(one[0]), order.get(one[0].slot, len(order))))
    placed = in_order(desk, [*live, *seated])
    lines = (made if isinstance(made, ScriptLine) else ScriptLine(made) for made in placed)
    return Script((*homeless, *lines), turned)


def _brief(reason: Unwritable) -> str:
    """A reason without the list of all that would be possible."""
    return str(reason).partition("; the firmware knows")[0]


def _by_slot(new: Reading, sure: Iterable[Carried]) -> Iterator[tuple[tuple[Carried, ...], Row | Unwritable]]:
    """Changes that go into one line, with that line; of several shapes of a row only one can be in force."""
    groups: dict[Slot, dict[str, list[tuple[Seat, Carried]]]] = {}
    for one in sure:
        if isinstance(seat := one.triple.seat, Seat):
            groups.setdefault(seat.slot, {}).setdefault(seat.form.line.text, []).append((seat, one))
    for shapes in groups.values():
        first, *others = shapes.values()
        wishes = [wish for _, one in first for wish in _wishes(one)]
        yield tuple(one for _, one in first), first[0][0].row(new, wishes)
        for other in others:
            why = f"{other[0][0].name}: no one line says it beside what else the row holds"
            yield tuple(one for _, one in other), Unwritable(why)


def _by_path(new: Reading, sure: Sequence[Carried]) -> Iterator[tuple[tuple[Carried, ...], Row | Unwritable]]:
    """The same by the paths of the model, for a firmware that has other lines."""
    of = {path: one for one in sure if isinstance(one.triple.mine, Setting) for path in one.triple.mine.paths}
    wanted: dict[Path, Value] = {}
    for path, one in of.items():
        if isinstance(one.triple.mine, Setting) and not isinstance(one.triple.mine.value, Whole):
            wanted[path] = one.triple.mine.value  # between two firmwares no setting is a whole line
    for paths, row in rows(new, wanted):
        yield tuple({id(of[path]): of[path] for path in paths}.values()), row


def _wishes(one: Carried) -> Iterator[Wish]:
    if isinstance(one.triple.mine, Setting) and isinstance(one.triple.seat, Seat):
        yield from one.triple.seat.wishes(one.triple.mine.value)


def _takes(row: Row) -> bool:
    """Whether a line takes a job or a pin: those that only give one up come first."""
    return not any(_gives_up(row, wish) for wish in row.wishes)


def _gives_up(row: Row, wish: Wish) -> bool:
    if wish.value == "none":
        return True
    text = row.held.get(wish.cell)
    if not isinstance(wish.value, tuple) or text is None:
        return False
    try:
        held = row.form.cells[wish.cell].codec.read(text)
    except Misfit:
        return False
    return isinstance(held, tuple) and {*wish.value} < {*held}
