"""Lines typed on top of a dump, one by one: what the firmware makes of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import decode, laid_over, sort
from cfgaudit.dialect.reading import Doubt, Entry, Reading, Slot
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text


class Fate(StrEnum):
    """What comes of a line."""

    SETS = "sets"
    ALREADY = "already so"
    OVERRULED = "overruled"  # by a later one of these lines
    REFUSED = "refused"  # a value that the firmware does not take
    UNKNOWN = "unknown"
    OPENS = "opens"  # says only what the lines below it are about
    KEEPS = "keeps"  # what was typed so far survives a restart
    RESTARTS = "restarts"
    SHOWS = "shows"  # asks for a dump


class Typed(Struct, frozen=True):
    """A line, and what comes of it.

    ``doubts`` says which cell a REFUSED line fails at; ``by`` is the line that overrules one.
    """

    statement: Statement
    fate: Fate
    entries: tuple[Entry, ...] = ()  # what it says; () if no form knows it
    doubts: tuple[Doubt, ...] = ()
    by: tuple[Statement, ...] = ()

    @property
    def does_nothing(self) -> bool:
        """Whether it was meant to set something and does not."""
        return self.fate in (Fate.ALREADY, Fate.OVERRULED, Fate.REFUSED, Fate.UNKNOWN)


class Session(Struct, frozen=True):
    """All lines of a text, and the configuration after them. Remarks and blank lines are not among them."""

    typed: tuple[Typed, ...]
    statements: tuple[Statement, ...]  # every line of the text, in its order
    after: Reading


def type_lines(before: Reading, text: Text) -> Session:
    """Type a text line by line on top of a dump. A line that the firmware refuses leaves all as it was."""
    dialect = before.dialect
    statements = read_statements(text, dialect.family).statements
    known = {entry.statement.line: entry for entry in sort(dialect, statements).entries}
    doubts = {line: decode(entry, dialect.name).doubts for line, entry in known.items()}
    taken = {line: entry for line, entry in known.items() if not doubts[line]}
    last = {entry.shared_slot: entry for entry in taken.values()}
    typed = tuple(_typed(before, statements, known, doubts, last))
    unknown = [one.statement for one in typed if one.fate is Fate.UNKNOWN]
    return Session(typed, statements, laid_over(before, taken.values(), unknown))


def _typed(
    before: Reading,
    statements: tuple[Statement, ...],
    known: Mapping[int, Entry],
    doubts: Mapping[int, tuple[Doubt, ...]],
    last: Mapping[Slot, Entry],
) -> Iterator[Typed]:
    for statement in statements:
        if statement.kind in (Kind.BLANK, Kind.REMARK):
            continue
        entry = known.get(statement.line)
        if entry is None:
            yield Typed(statement, _command(before.dialect, statement))
        elif doubts[statement.line]:
            yield Typed(statement, Fate.REFUSED, (entry,), doubts[statement.line])
        elif (winner := last[entry.shared_slot]) is entry:
            yield Typed(statement, _fate(before, entry), (entry,))
        elif entry.opens:
            yield Typed(statement, Fate.OPENS, (entry,))
        else:
            yield Typed(statement, Fate.OVERRULED, (entry,), by=(winner.statement,))


def _fate(before: Reading, entry: Entry) -> Fate:
    if entry.opens and not entry.form.gifts:
        return Fate.OPENS
    was = before.in_force.get(entry.shared_slot)
    if was and was.form is entry.form and (was.texts == entry.texts or _said(was) == _said(entry)):
        return Fate.OPENS if entry.opens else Fate.ALREADY
    return Fate.SETS


def _said(entry: Entry) -> Mapping[str, object]:
    """What a line's cells hold, however it is spelt; of cells that cannot be read, what is written."""
    said: dict[str, object] = {}
    for name, text in entry.texts.items():
        try:
            said[name] = entry.form.cells[name].codec.read(text)
        except Misfit:
            said[name] = text
    return said


def _command(dialect: Dialect, statement: Statement) -> Fate:
    """What a line does that sets nothing and is none the less known."""
    words = " ".join(statement.text.split())
    commands = {
        dialect.keep_with: Fate.KEEPS,
        dialect.restart_with: Fate.RESTARTS,
        dialect.dump_with: Fate.SHOWS,
    }
    return commands.get(words, Fate.UNKNOWN) if words else Fate.UNKNOWN
