"""Forms: the lines a firmware writes, each with its cells and the model paths it gives."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.template import Found, Line, PathTemplate
from cfgaudit.dump.statement import Statement
from cfgaudit.model.path import Path


@dataclass(frozen=True, slots=True)
class Gift:
    """A model path that a cell, or a field of a packed cell, gives."""

    path: PathTemplate
    cell: str
    field: str = ""  # "" for the whole cell


@dataclass(frozen=True, slots=True)
class Form:
    """One kind of line. A setting is a form with one cell, ``value``, and a name."""

    line: Line
    cells: Mapping[str, Cell]
    gifts: tuple[Gift, ...]
    key: tuple[str, ...]  # the cells that say which of its kind a line is
    factory: tuple[str, ...] = ()  # the lines in force where a changed-only dump is silent
    name: str = ""  # of a setting

    @property
    def label(self) -> str:
        """How messages call the form."""
        return self.name or self.line.text


@dataclass(frozen=True, slots=True)
class Scope:
    """Lines that belong together: under a section or selector line, or outside all of them."""

    opens: Line | None  # None for the lines outside every scope
    form: Form | None  # what the opening line itself says
    cells: Mapping[str, Cell] = field(default_factory=dict)
    settings: Mapping[str, Form] = field(default_factory=dict)
    forms: tuple[Form, ...] = ()
    # forms by their first word, those that begin with a cell under "": what reading looks up
    rows: Mapping[str, tuple[Form, ...]] = field(default_factory=dict)

    def match(self, statement: Statement, name_word: int) -> tuple[Form, Found] | None:
        """The form a line fits and its cells. ``name_word``: where a setting's name stands."""
        words = statement.words
        if name_word + 1 < len(words) and (setting := self.settings.get(words[name_word])):
            found = setting.line.match(statement)
            if found is not None:
                return setting, found
        for keyword in (words[0], ""):
            for form in self.rows.get(keyword, ()):
                found = form.line.match(statement)
                if found is not None:
                    return form, found
        return None

    def all_forms(self) -> Iterator[Form]:
        """Settings first, then rows."""
        yield from self.settings.values()
        yield from self.forms

    def giving(self, path: Path) -> Iterator[tuple[Form, Gift, dict[str, str]]]:
        """The forms that can give a path, with the cells' keys that it takes."""
        for form in self.all_forms():
            for gift in form.gifts:
                keys = gift.path.match(path)
                if keys is not None:
                    yield form, gift, keys
