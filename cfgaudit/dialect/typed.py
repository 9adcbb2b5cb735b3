"""Lines typed on top of a dump, one by one: what the firmware makes of each."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.private import commented_out, private_lines, private_values
from cfgaudit.dialect.read import decode, laid_over
from cfgaudit.dialect.reading import Doubt, Entry, Reading, Slot
from cfgaudit.dialect.sort import sort
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import HIDDEN


class Fate(StrEnum):
    """What comes of a line."""

    SETS = "sets"
    ALREADY = "already so"
    OVERRULED = "overruled"  # by a later one of these lines
    REFUSED = "refused"  # a value that the firmware does not take, or it stands below such a line
    UNKNOWN = "unknown"
    ABSENT = "absent"  # of something that this board does not have
    OPENS = "opens"  # says only what the lines below it are about
    KEEPS = "keeps"  # what was typed so far survives a restart
    RESTARTS = "restarts"
    SHOWS = "shows"  # asks for a dump


class Typed(Struct, frozen=True):
    """A line, and what comes of it.

    ``doubts`` says which cell a REFUSED line fails at. ``by`` is the line that overrules one, or the
    refused one that should have opened the part it stands in.
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
    entries: tuple[Entry, ...]  # what every known line says, whatever came of it

    def shown(self, statement: Statement) -> str:
        """A line of the text as reports may show it."""
        setting = self.private.get(statement.line)
        return f"{setting} {HIDDEN}" if setting else statement.shown


def nothing_absent(entry: Entry) -> bool:
    """The board has whatever a line is of."""
    return False


class Prepared(Struct, frozen=True):
    """A text read on top of a dump, ready to be typed as a whole or without some of its lines."""

    before: Reading
    statements: tuple[Statement, ...]
    known: Mapping[int, Entry]  # by line, as all of these
    doubts: Mapping[int, tuple[Doubt, ...]]  # for which a line is refused
    below: Mapping[int, Statement]  # the lines that stand below a refused one
    absent: Container[int]  # the lines of something that the board does not have
    private: Mapping[int, str]

    def after(self, without: Container[int]) -> Reading:
        """The configuration after the text, some of its lines left out."""
        return laid_over(self.before, self._taken(without))

    def typed(self, without: Container[int] = ()) -> Session:
        """The text typed line by line, some of its lines left out; those that open a scope still open it."""
        last = {entry.shared_slot: entry for entry in self._taken(without)}
        every = tuple(
            self._typed(one, last)
            for one in self.statements
            if one.kind not in (Kind.BLANK, Kind.REMARK) and one.line not in without
        )
        entries = tuple(self.known.values())
        return Session(every, self.statements, self.before, self.after(without), self.private, entries)

    def _taken(self, without: Container[int]) -> Iterator[Entry]:
        for line, entry in self.known.items():
            if not (self.doubts[line] or line in self.below or line in self.absent or line in without):
                yield entry

    def _typed(self, one: Statement, last: Mapping[Slot, Entry]) -> Typed:
        entry = self.known.get(one.line)
        if entry is None:
            return Typed(one, _command(self.before.dialect, one))
        if one.line in self.absent:
            return Typed(one, Fate.ABSENT, (entry,))
        if self.doubts[one.line]:
            return Typed(one, Fate.REFUSED, (entry,), self.doubts[one.line])
        if one.line in self.below:
            return Typed(one, Fate.REFUSED, (entry,), by=(self.below[one.line],))
        return _typed(self.before, entry, last[entry.shared_slot])


def type_lines(before: Reading, text: Text, is_absent: Callable[[Entry], bool] = nothing_absent) -> Session:
    """Type a text line by line on top of a dump. A line that the firmware refuses leaves all as it was.

    ``is_absent``: whether a line is of something that the board does not have, which is refused as well.
    """
    return prepared(before, text, is_absent).typed()


def prepared(before: Reading, text: Text, is_absent: Callable[[Entry], bool] = nothing_absent) -> Prepared:
    """Read a text that is to be typed on top of a dump."""
    dialect = before.dialect
    statements = read_statements(text, dialect.family).statements
    sorting = sort(dialect, statements)
    known = {entry.statement.line: entry for entry in sorting.entries}
    doubts = {line: tuple(_refusing(entry, dialect)) for line, entry in known.items()}
    unknown = (one for one in sorting.unknown if _command(dialect, one) is Fate.UNKNOWN)
    hidden = (
        *private_values(sorting.entries),
        *private_lines(dialect, unknown),
        *commented_out(dialect, statements),
    )
    return Prepared(
        before,
        statements,
        known,
        doubts,
        dict(_below_refused(dialect, sorting.entries, doubts)),
        {line for line, entry in known.items() if is_absent(entry)},
        {place.line: setting for setting, place in hidden},
    )


def _refusing(entry: Entry, dialect: Dialect) -> Iterator[Doubt]:
    """The doubts for which a firmware refuses a line: a bit that has no name here is none."""
    for doubt in decode(entry, dialect.name).doubts:
        name = next((name for name in entry.texts if entry.place_of(name) == doubt.place), "")
        if doubt.kind == "range" or not (name and _is_read(entry, name)):
            yield doubt


def _is_read(entry: Entry, cell: str) -> bool:
    try:
        entry.form.cells[cell].codec.read(entry.texts[cell])
    except Misfit:
        return False
    return True


def _below_refused(
    dialect: Dialect, entries: Sequence[Entry], doubts: Mapping[int, Sequence[Doubt]]
) -> Iterator[tuple[int, Statement]]:
    """The lines whose part was not opened, since the line that opens it is refused, and that line."""
    refused: Statement | None = None
    for entry in entries:
        if entry.opens:
            refused = entry.statement if doubts[entry.statement.line] else None
        elif refused and entry.scope is not dialect.scopes[0]:
            yield entry.statement.line, refused


def _typed(before: Reading, entry: Entry, winner: Entry) -> Typed:
    if winner is entry:
        return Typed(entry.statement, _fate(before, entry), (entry,))
    if entry.opens:
        return Typed(entry.statement, Fate.OPENS, (entry,))
    return Typed(entry.statement, Fate.OVERRULED, (entry,), by=(winner.statement,))


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
