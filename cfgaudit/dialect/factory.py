"""The lines of an untouched firmware, as far as its dialect declares them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.dialect.cell import Undeclared
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Scope
from cfgaudit.dialect.reading import Entry
from cfgaudit.dialect.sort import Opened
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Statement
from cfgaudit.dump.text import Text


def with_factory(dialect: Dialect, in_force: tuple[Entry, ...]) -> Iterator[Entry]:
    """The defaults that a changed-only dump leaves out, then the dump's own entries."""
    told = {entry.slot for entry in in_force}
    # scopes that stand for one thing each are there even if the dump never opens them
    scopes: dict[object, Opened] = {
        (n, ()): Opened(scope, {}, scope.opens.text if scope.opens else "")
        for n, scope in enumerate(dialect.scopes)
        if not scope.cells
    }
    order = {scope.opens: n for n, scope in enumerate(dialect.scopes)}
    for entry in in_force:
        if len(entry.outer) == len(entry.scope.cells):
            at = (order[entry.scope.opens], tuple(entry.outer.items()))
            scopes.setdefault(at, Opened(entry.scope, entry.outer, entry.head))
    for opened in scopes.values():
        for entry in _factory_entries(dialect, opened):
            if entry.slot not in told:
                told.add(entry.slot)
                yield entry
    yield from in_force


def factory_entries(dialect: Dialect, scope: Scope, outer: Mapping[str, str], head: str) -> Iterator[Entry]:
    """The lines that would stand in a full dump of an untouched firmware, in one scope."""
    return _factory_entries(dialect, Opened(scope, outer, head))


def _factory_entries(dialect: Dialect, opened: Opened) -> Iterator[Entry]:
    for statement in _factory_statements(dialect, opened.scope):
        entry = opened.entry(statement, dialect.name_word, factory=True)
        if entry:
            yield entry


def _factory_statements(dialect: Dialect, scope: Scope) -> tuple[Statement, ...]:
    rows = [line for form in scope.forms for line in form.factory]
    for setting in scope.settings.values():
        cell = setting.cells["value"]
        if not isinstance(cell.default, Undeclared):
            rows.append(setting.line.render({"value": cell.codec.write(cell.default)}))
    text = Text(dialect.file, "\n".join(rows), "utf-8", mark=False)
    return read_statements(text, dialect.family).statements
