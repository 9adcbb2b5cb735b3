"""One text for one configuration: stable order, one statement a line, nothing of how it was captured.

The text is itself a dump of its dialect. It has the header, every line in force as its dialect writes
it, and the lines that nobody understands in the scope where they stood; remarks and overruled lines go.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from msgspec import Struct, field

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.reading import Entry, Reading, Slot
from cfgaudit.dialect.seal import is_seal
from cfgaudit.dialect.sort import sort
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.model.order import Natural, natural
from cfgaudit.model.place import Place


class Block(Struct, frozen=True):
    """The lines of one scope with one key: what opens it, known lines, the others as they are written."""

    opening: str  # "" for the lines outside every scope
    known: list[Entry] = field(default_factory=list)
    others: list[str] = field(default_factory=list)


Where = tuple[int, tuple[Natural, ...]]  # which scope, with which keys
Order = tuple[int, tuple[Natural, ...]]  # of a line in its block


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
    sign, order = reading.dialect.remark, line_order(reading.dialect)

    def shown(one: Statement) -> str:
        is_private = (one.place.file, one.line) in reading.private_lines
        text = one.text if private or not is_private else f"{sign} {reading.shown(one)}"
        return text.strip()  # what stands between its words may mean something

    for where, block in sorted(blocks(reading, shown).items(), key=lambda one: one[0]):
        if where[0] or block.opening:
            yield ""
        if block.opening:
            yield block.opening
        yield from (as_written(entry) for entry in sorted(block.known, key=order))
        yield from block.others
    for head in selected(reading).values():
        yield ""
        yield head


def line_order(dialect: Dialect) -> Callable[[Entry], Order]:
    """In which order the lines of a block stand: by the dialect's forms, then by their keys."""
    places: dict[object, int] = {}
    for form in _forms(dialect.scopes):
        places.setdefault(_shape(form), len(places))
    return lambda entry: (places.get(_shape(entry.form), len(places)), tuple(map(natural, entry.keys)))


def _shape(form: Form) -> tuple[str, str]:
    return form.kin, form.line.text


def as_written(entry: Entry) -> str:
    """A line as its dialect writes it: one spelling of each value. What cannot be read stays as it is."""
    return entry.form.line.render(written_texts(entry))


def written_texts(entry: Entry) -> Mapping[str, str]:
    """The cells of a line in one spelling of each value."""
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
    return texts


def _forms(scopes: tuple[Scope, ...]) -> Iterator[Form]:
    for scope in scopes:
        yield from scope.all_forms()


def blocks(
    reading: Reading, shown: Callable[[Statement], str], *, remarks: Callable[[str], bool] | None = None
) -> dict[Where, Block]:
    """The lines by scope, the others as ``shown`` tells them.

    Others are lines that the dialect does not know, and those remarks that are asked for by their text.
    """
    dialect = reading.dialect
    numbers = {scope.opens: n for n, scope in enumerate(dialect.scopes)}
    bracket = "[{}]" if dialect.family == "sectioned" else "{}"
    made: dict[Where, Block] = {}

    def block(entry: Entry) -> Block:
        keys = tuple(natural(entry.outer.get(name, "")) for name in entry.scope.cells)
        opening = bracket.format(entry.head) if entry.head else ""
        return made.setdefault((numbers[entry.scope.opens], keys), Block(opening))

    for entry in reading.entries:
        if entry.opens:
            block(entry)
        elif not entry.factory:
            block(entry).known.append(entry)
    opened = {one.statement.line: one for one in sort(dialect, reading.dump.statements).entries if one.opens}
    own = {id(one) for one in reading.unknown}
    here = made.setdefault((0, ()), Block(""))
    for statement in reading.dump.statements:
        if opening := opened.get(statement.line):
            here = block(opening)
        elif id(statement) in own:
            if statement.kind is Kind.SECTION:
                at = (len(dialect.scopes), (natural(statement.text.strip()),))
                if at in made:  # it comes again
                    made[at].others.append(statement.text.strip())
                here = made.setdefault(at, Block(statement.text.strip()))
            else:
                here.others.append(shown(statement))
        elif remarks and statement.kind is Kind.REMARK and remarks(statement.text):
            here.others.append(shown(statement))
    return made


def selected(reading: Reading) -> dict[Slot, str]:
    """The selectors that were last, since the last one of a kind that can be read says what is used."""
    if reading.dialect.family == "sectioned":
        return {}
    return {
        entry.shared_slot: entry.head
        for entry in reading.entries
        if entry.opens and entry.form.gifts and len(entry.outer) == len(entry.scope.cells)
    }
