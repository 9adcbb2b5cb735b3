"""Forms: the lines a firmware writes, each with its cells and the model paths it gives."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct, field

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.template import Line, PathTemplate, Word
from cfgaudit.dump.statement import Statement
from cfgaudit.model.path import Path


class Gift(Struct, frozen=True):
    """A model path that a cell, or a field of a packed cell, gives."""

    path: PathTemplate
    cell: str
    field: str = ""  # "" for the whole cell


class Form(Struct, frozen=True):
    """One kind of line. A setting is a form with one cell, ``value``, and a name.

    Forms of one ``kin`` are several shapes of one row: of their lines with the same key the last
    one holds. A setting's kin is its name in the dialect file, whatever later versions call it.
    ``heading`` names a row: its fixed words up to the key, and the key. ``since`` and ``until`` are
    the first versions that have the form and no longer have it, or "". ``ways`` are those of a
    setting that versions write differently; the form itself is then what holds for all of them.
    """

    line: Line
    cells: Mapping[str, Cell]
    gifts: tuple[Gift, ...]
    key: tuple[str, ...]  # the cells that say which of its kind a line is
    kin: str
    heading: tuple[Word, ...]
    factory: tuple[str, ...] = ()  # the lines in force where a changed-only dump is silent
    name: str = ""  # of a setting
    since: str = ""
    until: str = ""
    ways: tuple[Form, ...] = ()

    @property
    def label(self) -> str:
        """How messages call the form."""
        return self.name or self.line.text

    def segment(self, name: str, text: str) -> str:
        """A cell as a path segment; one that cannot be read stands as written, and is doubted elsewhere."""
        try:
            return str(self.cells[name].codec.read(text))
        except Misfit:
            return text

    def named(self, texts: Mapping[str, str]) -> str:
        """How messages call one line of the form, from its cells."""
        return self.name or " ".join(word.render(texts) for word in self.heading) or self.line.text


def by_keyword(forms: Iterable[Form]) -> dict[str, tuple[Form, ...]]:
    """Forms by their first word, those that begin with a cell under ""."""
    rows: dict[str, tuple[Form, ...]] = {}
    for form in forms:
        rows[form.line.keyword] = (*rows.get(form.line.keyword, ()), form)
    return rows


class Scope(Struct, frozen=True):
    """Lines that belong together: under a section or selector line, or outside all of them."""

    opens: Line | None  # None for the lines outside every scope
    form: Form | None  # what the opening line itself says
    cells: Mapping[str, Cell] = field(default_factory=dict)
    settings: Mapping[str, Form] = field(default_factory=dict)
    forms: tuple[Form, ...] = ()
    rows: Mapping[str, tuple[Form, ...]] = field(default_factory=dict)  # by_keyword: what reading looks up

    def match(self, statement: Statement, name_word: int) -> tuple[Form, dict[str, str]] | None:
        """The form a line fits and its cells' texts. ``name_word``: where a setting's name stands."""
        words = statement.words
        if name_word < len(words) and (setting := self.settings.get(words[name_word])):
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
        """Settings first, then rows, then what the opening line says."""
        yield from self.settings.values()
        yield from self.forms
        if self.form:
            yield self.form

    def giving(self, path: Path) -> Iterator[tuple[Form, Gift, dict[str, str]]]:
        """The forms that can give a path, with the cells' keys that it takes."""
        for form in self.all_forms():
            for gift in form.gifts:
                keys = gift.path.match(path)
                if keys is not None:
                    yield form, gift, keys
