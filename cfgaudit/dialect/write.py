"""Model → statements: the lines that bring a dump's configuration to wanted values, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.order import in_order
from cfgaudit.dialect.reading import Reading, Slot, slot
from cfgaudit.dialect.row import Desk, Row, Unwritable, Wish, line, undone
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.wait import longest
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import Value


class Lines(Struct, frozen=True):
    """Lines to paste, the lines that take them back, and what could not be written.

    ``wait`` is what the lines take effect after: "restart", "power cycle"; "" if at once.
    """

    lines: tuple[str, ...]
    undo: tuple[str, ...]
    cannot: tuple[str, ...] = ()
    wait: str = ""

    @property
    def complete(self) -> bool:
        """Whether everything that was wanted could be written."""
        return not self.cannot


def write(reading: Reading, wanted: Mapping[Path, Value]) -> Lines:
    """The lines that give each path its wanted value, one line for each setting or row.

    Cells that are not to change keep what the dump says. What the dialect has no form for, or no
    word, comes back under ``cannot``; the other lines are still good.
    """
    desk = Desk(reading)
    there, back, cannot = [], [], []
    for _, row in rows(reading, wanted):
        try:
            if isinstance(row, Unwritable):
                raise row
            there.append((row, line(desk, row)))
            back.append((row, undone(desk, row)))
        except Unwritable as reason:
            cannot.append(str(reason))
    return Lines(
        tuple(in_order(desk, there)),
        tuple(in_order(desk, back)),
        tuple(dict.fromkeys(cannot)),
        longest(reading.after(path) for path in wanted),
    )


def rows(
    reading: Reading, wanted: Mapping[Path, Value]
) -> Iterator[tuple[tuple[Path, ...], Row | Unwritable]]:
    """The lines that give wanted values, each with the paths that it gives; or why they cannot be given."""
    slots: dict[Slot, dict[Path, Sequence[Seat]]] = {}
    for path in wanted:
        try:
            seats = seats_of(reading, path)
        except Unwritable as reason:
            yield (path,), reason
        else:
            slots.setdefault(seats[0].slot, {})[path] = seats
    for at, paths in slots.items():
        try:
            yield tuple(paths), _row(reading, at, paths, wanted)
        except Unwritable as reason:
            yield tuple(paths), reason


# Which line can say it


def seats_of(reading: Reading, path: Path) -> Sequence[Seat]:
    """Where a path can be written, all in the same line: the one in force if there is one.

    Raises Unwritable if there is no such line.
    """
    giver = reading.givers.get(path)
    options = list(reading.dialect.giving(path))
    seats = [seat for option in options for seat in _seat(*option)]
    if giver:
        seats = [seat for seat in seats if seat.slot == giver.shared_slot] or seats
        seats.sort(key=lambda seat: seat.form is not giver.form)
    if seats:
        return [seat for seat in seats if seat.slot == seats[0].slot]
    if options:
        raise Unwritable(f"{dotted(path)}: no line of {reading.dialect.name} can be made from it alone")
    raise Unwritable(f"{reading.dialect.name} has no setting for {dotted(path)}")


def _seat(scope: Scope, form: Form, gift: Gift, keys: Mapping[str, str]) -> Iterator[Seat]:
    """A seat, if the path says all of the scope's cells and of the form's key."""
    if form is scope.form:
        yield Seat(scope, form, {}, keys, slot(scope, form, {}, ()), gift.cell, gift.field)
        return
    outer = {name: keys[name] for name in scope.cells if name in keys}
    own = {name: key for name, key in keys.items() if name not in scope.cells}
    if len(outer) == len(scope.cells) and all(name in own for name in form.key):
        at = slot(scope, form, outer, tuple(own[name] for name in form.key))
        yield Seat(scope, form, outer, own, at, gift.cell, gift.field)


def _row(
    reading: Reading, at: Slot, paths: Mapping[Path, Sequence[Seat]], wanted: Mapping[Path, Value]
) -> Row:
    """The line that says all that is wanted of a slot."""
    entry = reading.in_force.get(at)
    forms = [seat.form for seat in next(iter(paths.values()))]
    if entry:
        forms.sort(key=lambda form: form is not entry.form)
    for form in forms:
        chosen = {path: seat for path, seats in paths.items() if (seat := next(_of_form(form, seats), None))}
        if len(chosen) < len(paths):
            continue
        keys: dict[str, str] = {}
        for seat in chosen.values():
            for name, key in seat.keys.items():
                if keys.setdefault(name, key) != key:
                    raise Unwritable(f"{_said(paths)}: one line cannot say both {keys[name]} and {key}")
        first = next(iter(chosen.values()))
        wishes = tuple(Wish(seat.cell, seat.field, wanted[path]) for path, seat in chosen.items())
        row = Row(first.scope, form, first.outer, keys, entry, wishes)
        _check_free(row)
        return row
    raise Unwritable(f"{_said(paths)}: no one line of {reading.dialect.name} says all of them")


def _of_form(form: Form, seats: Sequence[Seat]) -> Iterator[Seat]:
    return (seat for seat in seats if seat.form is form)


def _said(paths: Iterable[Path]) -> str:
    return ", ".join(dotted(path) for path in paths)


def _check_free(row: Row) -> None:
    """A row that serves something else by its own words is not taken over."""
    for name, text in row.held.items():
        held = row.form.segment(name, text)
        if name in row.keys and held not in (row.keys[name], "none"):
            label = row.entry.label if row.entry else row.form.label
            raise Unwritable(f"{label} is in use for {held}, so not free for {row.keys[name]}")
