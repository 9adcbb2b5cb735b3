"""What came of reading a dump by a dialect: the model, and everything said aloud about the reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.recognise import Recognition
from cfgaudit.dump.read import Dump
from cfgaudit.dump.statement import Statement
from cfgaudit.model.model import Model
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place


@dataclass(frozen=True, slots=True)
class Entry:
    """A line and the form it fits.

    ``outer`` holds the cells of the scope it stands in. ``factory`` marks a line that the dialect
    declares and no dump carries.
    """

    statement: Statement
    scope: Scope
    form: Form
    outer: Mapping[str, str]  # the scope's cells, as keys
    texts: Mapping[str, str]  # the line's cells, as written
    words: Mapping[str, int]  # which word of the line each cell stands in
    factory: bool = False

    def place_of(self, cell: str) -> Place:
        """Where a cell stands in the file."""
        return self.statement.place_of(self.words.get(cell, 0))


@dataclass(frozen=True, slots=True)
class Doubt:
    """A cell that the dialect cannot take at its word: out of range, or a word it does not know."""

    place: Place
    setting: str
    text: str  # the cell as written
    why: str
    kind: str  # "range", "word" or "form"


@dataclass(frozen=True, slots=True)
class Repeat:
    """A line that comes again with another value: the last one wins."""

    first: Statement
    last: Statement


@dataclass(frozen=True)
class Reading:
    """A dump, read."""

    dump: Dump
    recognition: Recognition
    dialect: Dialect  # as the dump's firmware version speaks it
    model: Model
    entries: tuple[Entry, ...]  # those in force, in the order of the file
    unknown: tuple[Statement, ...]  # lines no form of the dialect knows, strays included
    doubts: tuple[Doubt, ...]
    repeats: tuple[Repeat, ...]
    private: tuple[tuple[str, Place], ...]  # setting and place of each private value
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
    def understood(self) -> int:
        """How many lines of the dump a form of the dialect knows."""
        return self.dump.settings - len(self.unknown)

    def after(self, path: Path) -> str:
        """When a change of this path takes effect: "" (at once), "restart", "power cycle"."""
        return self.dialect.after(path)
