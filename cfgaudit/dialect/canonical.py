"""One text for one configuration: stable order, one statement a line, nothing of how it was captured.

The text is itself a dump of its dialect. It has the header, every line in force as its dialect writes
it, and the lines that nobody understands in the scope where they stood; remarks and overruled lines go.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.form import Scope
from cfgaudit.dialect.read import sort
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.seal import is_seal
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.model.order import Natural, natural
from cfgaudit.model.place import Place


class _Block(Struct, frozen=True):
    """The lines of one scope with one key: what opens it, known lines, unknown lines."""

    opening: str  # "" for the lines outside every scope
    known: list[Entry] = field(default_factory=list)
    unknown: list[Statement] = field(default_factory=list)


_Where = tuple[int, tuple[Natural, ...]]  # which scope, with which keys


def header_lines(reading: Reading) -> Iterator[str]:
    """The remarks that say which firmware wrote the dump."""
    header = reading.recognition.header.values()
    lines = {leaf.origin.line for leaf in header if isinstance(leaf.origin, Place)}
    for statement in reading.dump.statements:
        if statement.line in lines and statement.kind is Kind.REMARK:
            yield " ".join(statement.text.split())


def setting_lines(reading: Reading, *, private: bool = True) -> Iterator[str]:
    """All other lines, by scopes in the order of the dialect; a blank line before each scope.

    Without ``private`` a line that is not understood and may hold a private value is named in a remark.
    """
    sign = reading.dialect.remark
    places = {id(form): n for n, form in enumerate(_forms(reading.dialect.scopes))}

    def order(entry: Entry) -> tuple[int, tuple[Natural, ...]]:
        return places.get(id(entry.form), len(places)), tuple(map(natural, entry.keys))

    for where, block in sorted(_blocks(reading).items(), key=lambda one: one[0]):
        if where[0] or block.opening:
            yield ""
        if block.opening:
            yield block.opening
        yield from (as_written(entry) for entry in sorted(block.known, key=order))
        for one in block.unknown:
            is_private = (one.place.file, one.line) in reading.private_lines
            text = one.text if private or not is_private else f"{sign} {reading.shown(one)}"
            yield " ".join(text.split())
    yield from _selected(reading)


def as_written(entry: Entry) -> str:
    """A line as its dialect writes it: one spelling of each value. What cannot be read stays as it is."""
    texts = {}
    for name, text in entry.texts.items():
        cell = entry.form.cells[name]
        texts[name] = text
        try:
            written = cell.codec.write(cell.codec.read(text))
            if cell.codec.read(written) == cell.codec.read(text) and not (cell.private and is_seal(text)):
                texts[name] = written
        except Misfit:
            continue
    return entry.form.line.render(texts)


def _forms(scopes: tuple[Scope, ...]) -> Iterator[object]:
    for scope in scopes:
        yield from scope.all_forms()


def _blocks(reading: Reading) -> dict[_Where, _Block]:
    """The lines by scope. One that the dialect does not know comes after all that it knows."""
    dialect = reading.dialect
    numbers = {scope.opens: n for n, scope in enumerate(dialect.scopes)}
    bracket = "[{}]" if dialect.family == "sectioned" else "{}"
    blocks: dict[_Where, _Block] = {}

    def block(entry: Entry) -> _Block:
        keys = tuple(natural(entry.outer.get(name, "")) for name in entry.scope.cells)
        opening = bracket.format(entry.head) if entry.head else ""
        return blocks.setdefault((numbers[entry.scope.opens], keys), _Block(opening))

    for entry in reading.entries:
        if entry.opens:
            block(entry)
        elif not entry.factory:
            block(entry).known.append(entry)
    opened = {one.statement.line: one for one in sort(dialect, reading.dump.statements).entries if one.opens}
    own = {id(one) for one in reading.unknown}
    here = blocks.setdefault((0, ()), _Block(""))
    for statement in reading.dump.statements:
        if opening := opened.get(statement.line):
            here = block(opening)
        elif id(statement) in own:
            if statement.kind is Kind.SECTION:
                at = (len(dialect.scopes), (natural(statement.text.strip()),))
                here = blocks.setdefault(at, _Block(statement.text.strip()))
            else:
                here.unknown.append(statement)
    return blocks


def _selected(reading: Reading) -> Iterator[str]:
    """The selectors that were last, since the last one of a kind says what is used."""
    if reading.dialect.family == "sectioned":
        return
    for entry in reading.in_force.values():
        if entry.opens and entry.form.gifts:
            yield ""
            yield entry.head
