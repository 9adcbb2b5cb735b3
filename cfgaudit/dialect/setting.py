"""The settings of a dump one by one: a cell of a line in force, or a field of a packed cell.

What is compared three ways must be neither coarser nor finer than what a person sets: two gains of one
line are two settings, and a line whose cells mean something only together is one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.form import Form
from cfgaudit.dialect.reading import Entry, Slot
from cfgaudit.model.model import HIDDEN
from cfgaudit.model.path import Path
from cfgaudit.model.place import Default, Origin
from cfgaudit.model.value import Value, spoken

WHOLE = ""  # the cell of a setting that is a whole line

Key = tuple[Slot, str, str]  # slot, cell, field: the same in every version of a dialect


class Whole(Struct, frozen=True):
    """What a whole line holds: cell, field of a packed one or "", and value. Cells of the key are apart."""

    cells: tuple[tuple[str, str, Value], ...]


Held = Value | Whole


class Setting(Struct, frozen=True):
    """One thing that somebody can set, and what it is set to."""

    slot: Slot
    cell: str  # WHOLE for a line whose cells mean something only together
    field: str  # of a packed cell, else ""
    entry: Entry
    value: Held
    paths: tuple[Path, ...] = ()  # where the model has it; () if the vocabulary has no word for it
    doubt: str = ""  # why the dialect cannot take it at its word; "" if it can

    @property
    def key(self) -> Key:
        """What makes two settings the same one."""
        return self.slot, self.cell, self.field

    @property
    def form(self) -> Form:
        """The form of its line."""
        return self.entry.form

    @property
    def label(self) -> str:
        """How people call it: its line, and the cell if the line has several."""
        parts = [self.entry.label]
        if self.cell and len(self.form.cells) - len(self.form.key) > 1:
            parts.append(self.cell)
        return " ".join([*parts, self.field] if self.field else parts)

    @property
    def private(self) -> bool:
        """Whether no report may show what it is set to."""
        cells = self.form.cells
        return cells[self.cell].private if self.cell else any(cell.private for cell in cells.values())

    @property
    def written(self) -> str:
        """What is written for it, as a report may show it: of a whole line the line."""
        if self.private:
            return HIDDEN
        if self.field:
            return spoken(self.value)
        return self.entry.texts[self.cell] if self.cell else self.form.line.render(self.entry.texts)

    @property
    def line(self) -> str:
        """The line that it stands in, as a report may show it."""
        private = any(cell.private for cell in self.form.cells.values())
        return f"{self.entry.label} {HIDDEN}" if private else self.form.line.render(self.entry.texts)

    @property
    def origin(self) -> Origin:
        """Where it is written, or the dialect whose default it is."""
        entry = self.entry
        if entry.factory:
            return Default("the dialect")
        return entry.place_of(self.cell) if self.cell else entry.statement.place


def is_whole(form: Form) -> bool:
    """Whether a cell says what the others are of without being the line's key: then they go together."""
    in_paths = {name for gift in form.gifts for name in gift.path.cells}
    return any(name in form.cells and name not in form.key for name in in_paths)


def settings(slot: Slot, entry: Entry, *, whole: bool) -> Iterator[Setting]:
    """The settings of a line in force; with ``whole`` it is one.

    A line that opens a scope sets what it gives, and is never one as a whole.
    """
    form = entry.form
    values, doubts = _values(entry)
    keys = _keys(entry, values)
    if whole and not entry.opens:
        held = Whole(
            tuple(part for name in form.cells if name not in form.key for part in _parts(name, values))
        )
        paths = tuple(path for gift in form.gifts if (path := _path(keys, form, gift.cell, gift.field)))
        yield Setting(slot, WHOLE, "", entry, held, paths, "; ".join(doubts.values()))
        return
    given = {gift.cell for gift in form.gifts}
    for name in form.cells:
        if name in form.key or (entry.opens and name not in given):
            continue
        value, doubt = values[name], doubts.get(name, "")
        if not isinstance(value, Mapping) and (fields := form.cells[name].fields):
            value = dict.fromkeys(fields, value)  # cannot be read: it is the text of each of them
        if isinstance(value, Mapping):
            for part, one in value.items():
                path = _path(keys, form, name, part)
                yield Setting(slot, name, part, entry, one, (path,) if path else (), doubt)
        else:
            path = _path(keys, form, name, "")
            yield Setting(slot, name, "", entry, value, (path,) if path else (), doubt)


def _values(entry: Entry) -> tuple[dict[str, Value | Fields], dict[str, str]]:
    """What the cells hold, as text where they cannot be read, and what is wrong with them."""
    values: dict[str, Value | Fields] = {}
    doubts: dict[str, str] = {}
    for name, text in entry.texts.items():
        cell = entry.form.cells[name]
        try:
            value = cell.read(text)
        except Misfit as misfit:
            values[name], doubts[name] = text, misfit.why
            continue
        values[name] = value
        if wrong := cell.outside(value):
            doubts[name] = wrong
    return values, doubts


def _keys(entry: Entry, values: Mapping[str, Value | Fields]) -> dict[str, str]:
    cells = entry.form.cells
    return dict(entry.outer) | {name: str(values[name]) for name in values if cells[name].keyable}


def _path(keys: Mapping[str, str], form: Form, cell: str, part: str) -> Path:
    for gift in form.gifts:
        if gift.cell == cell and gift.field == part and all(name in keys for name in gift.path.cells):
            path = gift.path.fill(keys)
            return () if "none" in path else path
    return ()


def _parts(cell: str, values: Mapping[str, Value | Fields]) -> Iterator[tuple[str, str, Value]]:
    """What a cell holds, by its fields if it is packed."""
    value = values[cell]
    if isinstance(value, Mapping):
        yield from ((cell, field, one) for field, one in value.items())
    else:
        yield cell, "", value
