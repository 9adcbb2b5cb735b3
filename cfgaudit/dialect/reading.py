"""What came of reading a dump by a dialect: the model, and everything said aloud about the reading."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.recognise import Recognition
from cfgaudit.dump.read import Dump
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.model.model import HIDDEN, Model
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place


class Entry(Struct, frozen=True):
    """A line and the form it fits.

    ``outer`` holds those cells of the scope it stands in that can be read, ``head`` the line that
    opened the scope, or "". ``factory`` marks a line that the dialect declares and no dump carries.
    """

    statement: Statement
    scope: Scope
    form: Form
    outer: Mapping[str, str]  # the scope's cells, as keys
    head: str
    texts: Mapping[str, str]  # the line's cells, as written
    factory: bool = False

    @property
    def opens(self) -> bool:
        """Whether the line opens its scope."""
        return self.form is self.scope.form

    @property
    def label(self) -> str:
        """How people call the setting of the line: its scope, then its name or its keyword and key."""
        if self.opens:
            return self.head
        named = self.form.named(self.texts)
        return f"{self.head} / {named}" if self.head else named

    @property
    def keys(self) -> tuple[str, ...]:
        """The cells of the form's key as path segments, in their order."""
        return tuple(self.form.segment(name, self.texts[name]) for name in self.form.key)

    @property
    def slot(self) -> Slot:
        """What makes two lines the same setting: scope, kind and key, never the place in the file."""
        return slot(self.scope, self.form, self.outer, self.keys)

    @property
    def shared_slot(self) -> Slot:
        """The slot, but one for all lines that open a scope of this kind: the last one says which is used."""
        return slot(self.scope, self.form, {} if self.opens else self.outer, self.keys)

    def place_of(self, cell: str) -> Place:
        """Where a cell stands in the file."""
        return self.statement.place_of(self.form.line.word_of(cell, self.statement))


Slot = tuple[str, str, tuple[str, ...], tuple[str, ...]]  # scope, kin, the scope's keys, the line's keys


def slot(scope: Scope, form: Form, outer: Mapping[str, str], keys: tuple[str, ...]) -> Slot:
    """The slot of a line of a form, whether or not the dump has one."""
    opens = scope.opens.text if scope.opens else ""
    return (opens, form.kin, tuple(outer.get(name, "") for name in scope.cells), keys)


class Flat(Struct, frozen=True):
    """A setting outside the vocabulary: what it is in every version of its firmware, and what it means."""

    identity: str
    meaning: object  # the value that its text stands for; the text itself where it cannot be read


def _meant(entry: Entry, cell: str) -> object:
    text = entry.texts[cell]
    try:
        return entry.form.cells[cell].read(text)
    except Misfit:
        return text


class Doubt(Struct, frozen=True):
    """A cell that the dialect cannot take at its word: out of range, or a word it does not know."""

    place: Place
    setting: str
    text: str  # the cell as written
    why: str
    kind: str  # "range", "word" or "form"


class Repeat(Struct, frozen=True):
    """A line that comes again with another value: the last one wins."""

    first: Statement
    last: Statement


class Reading(Struct, frozen=True, dict=True):
    """A dump, read."""

    dump: Dump
    recognition: Recognition[Dialect]
    dialect: Dialect  # as the dump's firmware version speaks it
    model: Model
    entries: tuple[Entry, ...]  # those in force, in the order of the file
    unknown: tuple[Statement, ...]  # lines no form of the dialect knows, strays included
    doubts: tuple[Doubt, ...]
    repeats: tuple[Repeat, ...]
    private: tuple[tuple[str, Place], ...]  # setting and place of each private value in the file
    givers: Mapping[Path, Entry]  # which entry each leaf came from

    @property
    def dialect_name(self) -> str:
        """The dialect's name."""
        return self.dialect.name

    @property
    def extent(self) -> Extent:
        """How much of the configuration the dump tells."""
        return self.recognition.extent

    @cached_property
    def private_lines(self) -> Mapping[tuple[str, int], str]:
        """File and line of each private value → the setting that the line is of."""
        return {(place.file, place.line): setting for setting, place in self.private}

    def shown(self, statement: Statement) -> str:
        """A line as reports may show it: of one that holds a private value, only what it is."""
        setting = self.private_lines.get((statement.place.file, statement.line))
        return f"{setting} {HIDDEN}" if setting else statement.shown

    @cached_property
    def understood(self) -> int:
        """How many lines of the dump a form of the dialect knows."""
        own = {id(statement) for statement in self.dump.statements}
        sections = sum(one.kind is Kind.SECTION for one in self.unknown if id(one) in own)
        return self.dump.settings - sum(id(one) in own for one in self.unknown) + sections

    @cached_property
    def in_force(self) -> Mapping[Slot, Entry]:
        """The line in force in each slot; the openings of one kind of scope share one: the last."""
        return {entry.shared_slot: entry for entry in self.entries}

    @cached_property
    def flats(self) -> Mapping[str, Flat]:
        """What the settings outside the vocabulary are, by the names that this version has for them."""
        found = {}
        for entry in self.entries:
            for cell in entry.texts:
                for name, part in ((f"{entry.label} {cell}", cell), (entry.label, "")):
                    if name in self.model.settings and not entry.opens:
                        opens, kin, outer, keys = entry.slot
                        identity = "\x1f".join((opens, kin, *outer, *keys, part))
                        found[name] = Flat(identity, _meant(entry, cell))
        return found

    def after(self, path: Path) -> str:
        """When a change of this path takes effect: "" (at once), "restart", "power cycle"."""
        return self.dialect.after(path)
