"""Which form each line of a dump fits, in which scope, and which of several lines for one setting wins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct, field

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Scope
from cfgaudit.dialect.reading import Entry, Repeat
from cfgaudit.dump.statement import Kind, Statement


class Sorting(Struct, frozen=True):
    """Lines by what the dialect makes of them."""

    entries: list[Entry] = field(default_factory=list)
    unknown: list[Statement] = field(default_factory=list)


class Opened(Struct, frozen=True):
    """A scope that lines stand in: the one outside of all, or one that a line has opened."""

    scope: Scope
    outer: Mapping[str, str] = field(default_factory=dict)
    head: str = ""

    def entry(self, statement: Statement, name_word: int, factory: bool = False) -> Entry | None:
        found = self.scope.match(statement, name_word)
        if found is None:
            return None
        form, texts = found
        return Entry(statement, self.scope, form, self.outer, self.head, texts, factory)


def sort(dialect: Dialect, statements: Iterable[Statement]) -> Sorting:
    """Match every line to a form; selector and section lines set the scope of the lines after them."""
    made = Sorting()
    outside = Opened(dialect.scopes[0])
    at: Opened | None = outside
    for statement in statements:
        if statement.kind in (Kind.BLANK, Kind.REMARK):
            continue
        entry = None
        if opening := _opening(dialect, statement):
            entry, at = opening, Opened(opening.scope, opening.outer, opening.head)
        elif statement.kind is Kind.SECTION:
            at = None
        elif statement.kind is not Kind.STRAY:
            entry = at.entry(statement, dialect.name_word) if at else None
            if entry is None and dialect.family != "sectioned":
                entry = outside.entry(statement, dialect.name_word)
        if entry:
            made.entries.append(entry)
        else:
            made.unknown.append(statement)
    return made


def _opening(dialect: Dialect, statement: Statement) -> Entry | None:
    """The entry of a line that opens a scope."""
    if statement.kind is Kind.STRAY or (statement.kind is Kind.SECTION) != (dialect.family == "sectioned"):
        return None
    for scope in dialect.scopes[1:]:
        texts = scope.opens.match(statement) if scope.opens else None
        if texts is not None and scope.opens and scope.form:
            outer = dict(_readable(scope, texts))
            return Entry(statement, scope, scope.form, outer, scope.opens.render(texts), texts)
    return None


def _readable(scope: Scope, texts: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for name, text in texts.items():
        try:
            yield name, str(scope.cells[name].codec.read(text))
        except Misfit:  # doubted where the opening line is decoded
            continue


def last_wins(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], tuple[Repeat, ...]]:
    """The entries in force, in the order of the file, and the lines that came to nothing."""
    in_force: dict[object, Entry] = {}
    repeats = []
    for entry in entries:
        key = entry.slot
        earlier = in_force.pop(key, None)
        if earlier and (earlier.form is not entry.form or earlier.texts != entry.texts):
            repeats.append(Repeat(earlier.statement, entry.statement))
        in_force[key] = entry
    return tuple(in_force.values()), tuple(repeats)
