"""One line in the making: a form, its key, and what its cells shall hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from cfgaudit.dialect.cell import Cell, Undeclared
from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.factory import factory_entries
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.reading import Entry, Reading, Slot, slot
from cfgaudit.dialect.sort import sort
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.value import Value, spoken


class Unwritable(Exception):
    """A value this dialect has no way to write, with the reason, which repeats no private value."""


class Wish(Struct, frozen=True):
    """What a cell, or a field of a packed one, shall hold."""

    cell: str
    field: str  # "" for the whole cell
    value: Value


class Row(Struct, frozen=True):
    """A line in the making: one form, one key, the values its cells shall have."""

    scope: Scope
    form: Form
    outer: Mapping[str, str]
    keys: Mapping[str, str]  # path segments by cell
    entry: Entry | None  # the line in force in its slot, if there is one
    wishes: tuple[Wish, ...] = ()

    @property
    def held(self) -> Mapping[str, str]:
        """The cells of the line in force, if it is of the same form."""
        return self.entry.texts if self.entry and self.entry.form is self.form else {}

    @property
    def opens(self) -> bool:
        """Whether the line opens its scope."""
        return self.form is self.scope.form

    @property
    def slot(self) -> Slot:
        """The slot of the line; all that open a scope of one kind share theirs."""
        keys = tuple(self.keys.get(name, "") for name in self.form.key)
        return slot(self.scope, self.form, {} if self.opens else self.outer, keys)


class Desk(Struct, frozen=True):
    """A reading, laid out for writing."""

    reading: Reading
    declared: dict[tuple[int, tuple[str, ...]], dict[Slot, Entry]] = field(default_factory=dict)

    def factory(self, scope: Scope, outer: Mapping[str, str], at: Slot) -> Entry | None:
        """The line that an untouched firmware has in a slot, if the dialect declares one."""
        where = (id(scope), tuple(outer.values()))
        if where not in self.declared:
            entries = factory_entries(self.reading.dialect, scope, outer, "")
            self.declared[where] = {entry.slot: entry for entry in entries}
        return self.declared[where].get(at)


def line(desk: Desk, row: Row) -> str:
    """The row's line: wished cells encoded, path cells from the keys, the others as they are.

    A line that the dump does not have goes only into a scope that the firmware can have. Raises Unwritable.
    """
    if row.entry is None:
        _check_scope(row)
    texts = {name: _cell_text(desk, row, name) for name in row.form.line.cells}
    text = row.form.line.render(texts)
    if not _reads_back(desk, row, text, texts):
        private = any(cell.private for cell in row.form.cells.values())
        said = "its line" if private else repr(text)
        raise Unwritable(f"{row.form.label}: {said} would be read back as something else")
    return _as_typed(desk, row, text)


def _check_scope(row: Row) -> None:
    for name, key in row.outer.items():
        cell = row.scope.cells[name]
        try:
            wrong = cell.outside(cell.codec.parse(key))
        except Misfit as misfit:
            wrong = misfit.why
        if wrong:
            label = row.scope.opens.text if row.scope.opens else ""
            raise Unwritable(f"{label}: {key} {wrong}")


def _as_typed(desk: Desk, row: Row, line: str) -> str:
    """A line that opens a section stands in brackets."""
    return f"[{line}]" if row.opens and desk.reading.dialect.family == "sectioned" else line


def _reads_back(desk: Desk, row: Row, line: str, texts: Mapping[str, str]) -> bool:
    """Whether a line, typed in its scope, would be taken for what it is meant."""
    dialect = desk.reading.dialect
    typed = [_as_typed(desk, row, line)]
    if row.scope.opens and not row.opens:
        typed.insert(0, opening(desk, row.scope, row.outer))
    text = Text("", "\n".join(typed), "utf-8", mark=False)
    entries = sort(dialect, read_statements(text, dialect.family).statements).entries
    return len(entries) == len(typed) and entries[-1].form is row.form and entries[-1].texts == texts


def _cell_text(desk: Desk, row: Row, name: str) -> str:
    cell = row.form.cells[name]
    wishes = [wish for wish in row.wishes if wish.cell == name]
    held = row.held.get(name)
    value: Value | Fields
    try:
        if name in row.keys:
            if held is not None and row.form.segment(name, held) == row.keys[name]:
                return held
            value = cell.codec.parse(row.keys[name])
        elif not wishes:
            if held is not None:
                return held
            value = _believed(desk, row, name)
        elif wishes[0].field:
            value = _fields(desk, row, name, wishes)
        else:
            value = wishes[-1].value
        text = cell.codec.write(value)
        if wrong := cell.outside(value):
            raise _unfit(row, cell, spoken(value), wrong)
        return text
    except Misfit as misfit:
        said = spoken(wishes[-1].value) if wishes else row.keys.get(name, held or name)
        raise _unfit(row, cell, said, misfit.why) from None


def _unfit(row: Row, cell: Cell, said: str, why: str) -> Unwritable:
    """What a cell cannot hold; the reason may repeat the value, so that of a private one none is given."""
    return Unwritable(f"{row.form.label}: {'its value does not fit' if cell.private else f'{said} {why}'}")


def _fields(desk: Desk, row: Row, name: str, wishes: Sequence[Wish]) -> Fields:
    """All fields of a packed cell: those wanted, the others as the line in force has them."""
    wanted = {wish.field: wish.value for wish in wishes}
    cell = row.form.cells[name]
    if wanted.keys() >= cell.fields.keys():
        return wanted
    held = cell.codec.read(row.held[name]) if name in row.held else _believed(desk, row, name)
    return {**held, **wanted} if isinstance(held, Mapping) else wanted


def _believed(desk: Desk, row: Row, name: str) -> Value | Fields:
    """What a cell of a new line should hold: what the model says, else what the dialect declares."""
    keys = dict(row.outer) | dict(row.keys)
    fields: dict[str, Value] = {}
    for gift in row.form.gifts:
        if gift.cell == name and all(cell in keys for cell in gift.path.cells):
            leaf = desk.reading.model.at(gift.path.fill(keys))
            if isinstance(leaf, Leaf):
                if not gift.field:
                    return leaf.value
                fields[gift.field] = leaf.value
    if fields:
        return fields
    cell = row.form.cells[name]
    if not isinstance(cell.default, Undeclared):
        return cell.default
    entry = _factory(desk, row)
    if entry and entry.form is row.form:
        return cell.codec.read(entry.texts[name])
    raise Unwritable(f"{row.form.label}: nothing says what {name} should be")


def _factory(desk: Desk, row: Row) -> Entry | None:
    return desk.factory(row.scope, row.outer, row.slot)


def undone(desk: Desk, row: Row) -> str:
    """The line that takes a row back: the one in force, the default, or a row that says none."""
    entry = row.entry or _factory(desk, row)
    if entry:
        return _as_typed(desk, row, entry.form.line.render(entry.texts))
    in_paths = {name for gift in row.form.gifts for name in gift.path.cells}
    emptied = dict.fromkeys(in_paths & row.form.cells.keys() - set(row.form.key), "none")
    if emptied:
        keys = dict(row.keys) | emptied
        try:
            return line(desk, Row(row.scope, row.form, row.outer, keys, None, row.wishes))
        except Unwritable:
            pass
    sign = desk.reading.dialect.remark
    return f"{sign} the dump had no line for {row.form.label}: nothing to take back to"


def opening(desk: Desk, scope: Scope, outer: Mapping[str, str]) -> str:
    """The line that opens a scope for the given keys. Raises Unwritable."""
    if scope.opens is None:
        return ""
    try:
        texts = {name: cell.codec.write(cell.codec.parse(outer[name])) for name, cell in scope.cells.items()}
    except Misfit as misfit:
        keys = ", ".join(outer.values())
        raise Unwritable(f"{scope.opens.text}: {keys} {misfit.why}") from None
    rendered = scope.opens.render(texts)
    return f"[{rendered}]" if desk.reading.dialect.family == "sectioned" else rendered
