"""Lines typed on top of a dump, one by one: what the firmware makes of each."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from enum import StrEnum

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import decode, laid_over, private_lines, private_values, sort
from cfgaudit.dialect.reading import Doubt, Entry, Reading, Slot
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import HIDDEN


class Fate(StrEnum):
    """What comes of a line."""

    SETS = "sets"
    ALREADY = "already so"
    OVERRULED = "overruled"  # by a later one of these lines
    REFUSED = "refused"  # a value that the firmware does not take
    UNKNOWN = "unknown"
    ABSENT = "absent"  # of something that this board does not have
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
        return self.fate in (
            Fate.ALREADY,
            Fate.OVERRULED,
            Fate.REFUSED,
            Fate.UNKNOWN,
            Fate.ABSENT,
        )


class Session(Struct, frozen=True):
    """All lines of a text, and the configuration after them. Remarks and blank lines are not among them."""

    typed: tuple[Typed, ...]
    statements: tuple[Statement, ...]  # every line of the text, in its order
    before: Reading
    after: Reading
    private: Mapping[int, str]  # the lines that hold a private value → the setting that each is of

    def shown(self, statement: Statement) -> str:
        """A line of the text as reports may show it."""
        setting = self.private.get(statement.line)
        return f"{setting} {HIDDEN}" if setting else statement.shown


def nothing_absent(entry: Entry) -> bool:
    """The board has whatever a line is of."""
    return False


def type_lines(
    before: Reading,
    text: Text,
    is_absent: Callable[[Entry], bool] = nothing_absent,
    without: Container[int] = (),
) -> Session:
    """Type a text line by line on top of a dump. A line that the firmware refuses leaves all as it was.

    ``is_absent``: whether a line is of something that the board does not have, which is refused as well.
    ``without``: the numbers of lines that are not typed; those that open a scope still open it.
    """
    dialect = before.dialect
    statements = read_statements(text, dialect.family).statements
    known = {entry.statement.line: entry for entry in sort(dialect, statements).entries}
    doubts = {line: decode(entry, dialect.name).doubts for line, entry in known.items()}
    absent = {line for line, entry in known.items() if is_absent(entry)}
    taken = {
        line: entry
        for line, entry in known.items()
        if not (doubts[line] or line in absent or line in without)
    }
    last = {entry.shared_slot: entry for entry in taken.values()}
    typed = tuple(
        _typed(before, one, known.get(one.line), doubts.get(one.line, ()), last)
        if one.line not in absent
        else Typed(one, Fate.ABSENT, (known[one.line],))
        for one in statements
        if one.kind not in (Kind.BLANK, Kind.REMARK) and one.line not in without
    )
    unknown = [one.statement for one in typed if one.fate is Fate.UNKNOWN]
    hidden = (*private_values(known.values()), *private_lines(dialect, unknown))
    private = {place.line: setting for setting, place in hidden}
    return Session(typed, statements, before, laid_over(before, taken.values()), private)


def _typed(
    before: Reading,
    statement: Statement,
    entry: Entry | None,
    doubts: tuple[Doubt, ...],
    last: Mapping[Slot, Entry],
) -> Typed:
    if entry is None:
        return Typed(statement, _command(before.dialect, statement))
    if doubts:
        return Typed(statement, Fate.REFUSED, (entry,), doubts)
    winner = last.get(entry.shared_slot, entry)
    if winner is entry:
        return Typed(statement, _fate(before, entry), (entry,))
    if entry.opens:
        return Typed(statement, Fate.OPENS, (entry,))
    return Typed(statement, Fate.OVERRULED, (entry,), by=(winner.statement,))


def _fate(before: Reading, entry: Entry) -> Fate:
    if entry.opens and not entry.form.gifts:
        return Fate.OPENS
    was = before.in_force.get(entry.shared_slot)
    if was and was.form is entry.form and (was.texts == entry.texts or said(was) == said(entry)):
        return Fate.OPENS if entry.opens else Fate.ALREADY
    return Fate.SETS


def said(entry: Entry) -> Mapping[str, object]:
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
