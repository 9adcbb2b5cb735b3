"""Lines typed on top of a dump, one by one: what the firmware makes of each."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import decode, laid_over, private_lines, private_values, sort
from cfgaudit.dialect.reading import Doubt, Entry, Reading
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import HIDDEN
from cfgaudit.model.place import Place


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
    sorting = sort(dialect, statements)
    known = {entry.statement.line: entry for entry in sorting.entries}
    doubts = {line: tuple(_refusing(entry, dialect)) for line, entry in known.items()}
    below = dict(_below_refused(dialect, sorting.entries, doubts))
    absent = {line for line, entry in known.items() if is_absent(entry)}
    taken = {
        line: entry
        for line, entry in known.items()
        if not (doubts[line] or line in below or line in absent or line in without)
    }
    last = {entry.shared_slot: entry for entry in taken.values()}

    def typed(one: Statement) -> Typed:
        entry = known.get(one.line)
        if entry is None:
            return Typed(one, _command(dialect, one))
        if one.line in absent:
            return Typed(one, Fate.ABSENT, (entry,))
        if doubts[one.line]:
            return Typed(one, Fate.REFUSED, (entry,), doubts[one.line])
        if one.line in below:
            return Typed(one, Fate.REFUSED, (entry,), by=(below[one.line],))
        return _typed(before, entry, last[entry.shared_slot])

    every = tuple(
        typed(one)
        for one in statements
        if one.kind not in (Kind.BLANK, Kind.REMARK) and one.line not in without
    )
    unknown = [one.statement for one in every if one.fate is Fate.UNKNOWN]
    hidden = (
        *private_values(known.values()),
        *private_lines(dialect, unknown),
        *commented_out(dialect, statements),
    )
    private = {place.line: setting for setting, place in hidden}
    after = laid_over(before, taken.values())
    return Session(every, statements, before, after, private, tuple(sorting.entries))


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


def commented_out(dialect: Dialect, statements: Sequence[Statement]) -> Iterator[tuple[str, Place]]:
    """Remarks that are lines put out of use and hold a private value."""
    remarks = {one.line for one in statements if one.kind is Kind.REMARK}
    bare = "".join(
        one.text.lstrip(" \t#~;") or "\n" if one.line in remarks else one.text for one in statements
    )
    if not remarks:
        return
    told = sort(
        dialect,
        read_statements(Text(statements[0].file, bare, "utf-8", mark=False), dialect.family).statements,
    )
    assignments = (one for one in told.unknown if one.kind is Kind.ASSIGNMENT)
    for setting, place in (*private_values(told.entries), *private_lines(dialect, assignments)):
        if place.line in remarks:
            yield setting, replace(place, column=1)


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
