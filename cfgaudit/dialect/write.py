"""Model → statements: the lines that bring a dump's configuration to wanted values, and back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.order import in_order
from cfgaudit.dialect.reading import Reading, Slot, slot
from cfgaudit.dialect.row import Desk, Row, Unwritable, Wish, line, undone
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


class _Way(Struct, frozen=True):
    """One way to give a path its value: a gift of a form, and the keys that the path names."""

    scope: Scope
    form: Form
    gift: Gift
    outer: Mapping[str, str]
    keys: Mapping[str, str]  # path segments by cell
    slot: Slot
    value: Value


def write(reading: Reading, wanted: Mapping[Path, Value]) -> Lines:
    """The lines that give each path its wanted value, one line for each setting or row.

    Cells that are not to change keep what the dump says. What the dialect has no form for, or no
    word, comes back under ``cannot``; the other lines are still good.
    """
    desk = Desk(reading)
    slots: dict[Slot, dict[Path, list[_Way]]] = {}
    rows, cannot = [], []
    for path, value in wanted.items():
        try:
            ways = _ways(desk, path, value)
        except Unwritable as reason:
            cannot.append(str(reason))
        else:
            slots.setdefault(ways[0].slot, {})[path] = ways
    for at, paths in slots.items():
        try:
            rows.append(_row(desk, at, paths))
        except Unwritable as reason:
            cannot.append(str(reason))
    made = write_rows(desk, rows)
    wait = longest(reading.after(path) for paths in slots.values() for path in paths)
    return replace(made, cannot=tuple(dict.fromkeys((*cannot, *made.cannot))), wait=wait)


def write_rows(desk: Desk, rows: Iterable[Row]) -> Lines:
    """The lines of these rows, each in its scope; rows that no line can say come back under ``cannot``."""
    there, back, waits, cannot = [], [], [], []
    for row in rows:
        try:
            text, undo = line(desk, row), undone(desk, row)
        except Unwritable as reason:
            cannot.append(str(reason))
            continue
        there.append((row, text))
        back.append((row, undo))
        waits += [row.form.cells[wish.cell].after for wish in row.wishes]
    lines, undo_lines = tuple(in_order(desk, there)), tuple(in_order(desk, back))
    return Lines(lines, undo_lines, tuple(dict.fromkeys(cannot)), longest(waits))


# Which line can say it


def _ways(desk: Desk, path: Path, value: Value) -> list[_Way]:
    """The ways to give a path, all by the same line: the one in force if there is one."""
    reading = desk.reading
    giver = reading.givers.get(path)
    options = [_way(*option, value) for option in reading.dialect.giving(path)]
    ways = [way for way in options if way]
    if giver:
        ways = [way for way in ways if way.slot == giver.shared_slot] or ways
        ways.sort(key=lambda way: way.form is not giver.form)
    if ways:
        return [way for way in ways if way.slot == ways[0].slot]
    if options:
        raise Unwritable(f"{dotted(path)}: no line of {reading.dialect.name} can be made from it alone")
    raise Unwritable(f"{reading.dialect.name} has no setting for {dotted(path)}")


def _way(scope: Scope, form: Form, gift: Gift, keys: Mapping[str, str], value: Value) -> _Way | None:
    """A way, if the path says all of the scope's cells and of the form's key."""
    if form is scope.form:
        return _Way(scope, form, gift, {}, keys, slot(scope, form, {}, ()), value)
    outer = {name: keys[name] for name in scope.cells if name in keys}
    own = {name: key for name, key in keys.items() if name not in scope.cells}
    if len(outer) < len(scope.cells) or not all(name in own for name in form.key):
        return None
    at = slot(scope, form, outer, tuple(own[name] for name in form.key))
    return _Way(scope, form, gift, outer, own, at, value)


def _row(desk: Desk, at: Slot, paths: Mapping[Path, Sequence[_Way]]) -> Row:
    """The line that says all that is wanted of a slot."""
    entry = desk.reading.in_force.get(at)
    forms = [way.form for way in next(iter(paths.values()))]
    if entry:
        forms.sort(key=lambda form: form is not entry.form)
    for form in forms:
        ways = [next((way for way in some if way.form is form), None) for some in paths.values()]
        chosen = [way for way in ways if way]
        if len(chosen) < len(paths):
            continue
        keys: dict[str, str] = {}
        for way in chosen:
            for name, key in way.keys.items():
                if keys.setdefault(name, key) != key:
                    raise Unwritable(f"{_said(paths)}: one line cannot say both {keys[name]} and {key}")
        row = Row(
            chosen[0].scope,
            form,
            chosen[0].outer,
            keys,
            entry,
            tuple(Wish(way.gift.cell, way.gift.field, way.value) for way in chosen),
        )
        _check_free(row)
        if entry is None:
            _check_scope(row)
        return row
    raise Unwritable(f"{_said(paths)}: no one line of {desk.reading.dialect.name} says all of them")


def _said(paths: Iterable[Path]) -> str:
    return ", ".join(dotted(path) for path in paths)


def _check_free(row: Row) -> None:
    """A row that serves something else by its own words is not taken over."""
    for name, text in row.held.items():
        held = row.form.segment(name, text)
        if name in row.keys and held not in (row.keys[name], "none"):
            label = row.entry.label if row.entry else row.form.label
            raise Unwritable(f"{label} is in use for {held}, so not free for {row.keys[name]}")


def _check_scope(row: Row) -> None:
    """A new line goes only into a scope that the firmware can have."""
    for name, key in row.outer.items():
        cell = row.scope.cells[name]
        try:
            wrong = cell.outside(cell.codec.parse(key))
        except Misfit as misfit:
            wrong = misfit.why
        if wrong:
            label = row.scope.opens.text if row.scope.opens else ""
            raise Unwritable(f"{label}: {key} {wrong}")
