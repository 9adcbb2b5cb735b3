"""A preset as it fits this build: its lines kept, replaced or left out, each change with its reason."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from enum import StrEnum

from msgspec import Struct

from cfgaudit.audit.finding import Audit
from cfgaudit.audit.remedy import Remedy
from cfgaudit.compare.preset.elsewhere import Elsewhere
from cfgaudit.compare.preset.why import of_another_version, why_nothing
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Entry, Reading, Slot
from cfgaudit.dialect.sort import sort
from cfgaudit.dialect.typed import Fate, Session, Typed, said
from cfgaudit.dialect.write import write
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value


class Kept(StrEnum):
    """What becomes of a line in the adapted preset."""

    AS_IT_IS = "as it is"
    REPLACED = "replaced"
    LEFT_OUT = "left out"
    ADDED = "added"


class Part(Struct, frozen=True):
    """A line of the adapted preset.

    ``line`` is "" for one that is left out; ``was`` holds the preset's own line, () for an added one.
    """

    kept: Kept
    line: str
    was: tuple[Statement, ...] = ()
    reasons: tuple[str, ...] = ()


class Adapted(Struct, frozen=True):
    """The adapted preset, and what an audit says once it is typed."""

    parts: tuple[Part, ...]
    audit: Audit

    @property
    def changed(self) -> tuple[Part, ...]:
        """The parts that are not as the preset has them."""
        return tuple(part for part in self.parts if part.kept is not Kept.AS_IT_IS)


_IN_FORCE = (Fate.SETS, Fate.ALREADY)
_COMMANDS = (Fate.KEEPS, Fate.RESTARTS, Fate.SHOWS)


def parts_of(
    session: Session,
    remedy: Remedy,
    foreign: Mapping[int, Elsewhere],
    dropped: Mapping[int, tuple[str, ...]],
) -> tuple[Part, ...]:
    """What becomes of each line of a preset, in its order, and the lines that the build needs beside it.

    ``session`` has the lines that another version knows in this version's words (``foreign``), and not
    those that are ``dropped`` since nothing mends what they bring. ``remedy`` is of what it leads to.
    """
    reasons = _reasons(remedy)
    typed = {one.statement.line: one for one in session.typed}
    opening = {entry.statement.line for entry in session.entries if entry.opens}
    parts = [
        _part(one, typed.get(one.line), session, remedy.after, foreign, reasons)
        if one.line not in dropped or one.line in opening
        else Part(Kept.LEFT_OUT, "", (one,), dropped[one.line])
        for one in session.statements
    ]
    said = [entry for one in session.typed if one.fate in _IN_FORCE for entry in one.entries]
    # a line that opens a part stays for those below it: what it would select is put right at the end
    touched = {entry.shared_slot for entry in said if not entry.opens}
    missing = {path: leaf.value for path, leaf in _changed(remedy, touched)}
    added = [*_added(session.after, missing, reasons), *_selected(session, dropped)]
    # nothing leads out of a section again: what stands outside of all of them has to come first
    if session.before.dialect.family == "sectioned":
        outside = next((n for n, part in enumerate(added) if part.line.startswith("[")), len(added))
        return (*added[:outside], *parts, *added[outside:])
    return (*parts, *added)


def _selected(session: Session, dropped: Mapping[int, tuple[str, ...]]) -> Iterator[Part]:
    """The lines that select again what was selected before, where the preset's own choice does not fit."""
    for entry in session.entries:
        if entry.opens and (why := dropped.get(entry.statement.line)):
            was = session.before.in_force.get(entry.shared_slot)
            if was and was.texts != entry.texts:
                yield Part(Kept.ADDED, typed_line(was, session.before.dialect), (), why)


def _part(
    statement: Statement,
    one: Typed | None,
    session: Session,
    fitting: Reading,
    foreign: Mapping[int, Elsewhere],
    reasons: Mapping[Slot, tuple[str, ...]],
) -> Part:
    text = statement.shown
    if one is None or one.fate in (*_COMMANDS, Fate.OPENS):
        return Part(Kept.AS_IT_IS, text, (statement,))
    if one.fate not in _IN_FORCE:
        return Part(Kept.LEFT_OUT, "", (statement,), (why_nothing(one, session.before, foreign),))
    (entry,) = one.entries
    fits = fitting.in_force.get(entry.shared_slot, entry)
    if entry.opens or said(fits) == said(entry):
        if there := foreign.get(statement.line):
            return Part(Kept.REPLACED, text, (statement,), (of_another_version(session.before, there),))
        return Part(Kept.AS_IT_IS, text, (statement,))
    was = session.before.in_force.get(entry.shared_slot)
    why = reasons.get(entry.shared_slot, ())
    if was and said(was) == said(fits):
        return Part(Kept.LEFT_OUT, "", (statement,), why)
    return Part(Kept.REPLACED, typed_line(fits, session.before.dialect), (statement,), why)


def typed_line(entry: Entry, dialect: Dialect) -> str:
    """An entry's line as it is typed."""
    text = entry.form.line.render(entry.texts)
    return f"[{text}]" if entry.opens and dialect.family == "sectioned" else text


def _reasons(remedy: Remedy) -> dict[Slot, tuple[str, ...]]:
    """For whose sake each line is mended, in words."""
    reasons: dict[Slot, tuple[str, ...]] = {}
    for path, findings in remedy.because.items():
        if giver := remedy.after.givers.get(path):
            told = (*reasons.get(giver.shared_slot, ()), *(finding.text for finding in findings))
            reasons[giver.shared_slot] = tuple(dict.fromkeys(told))
    return reasons


def _changed(remedy: Remedy, touched: Container[Slot]) -> Iterator[tuple[Path, Leaf]]:
    """What is mended in lines that the preset does not have."""
    for path in remedy.because:
        giver, leaf = remedy.after.givers.get(path), remedy.after.model.at(path)
        if giver and giver.shared_slot not in touched and isinstance(leaf, Leaf):
            yield path, leaf


def _added(
    after: Reading, missing: Mapping[Path, Value], reasons: Mapping[Slot, tuple[str, ...]]
) -> Iterator[Part]:
    lines = write(after, missing).lines
    statements = read_statements(Text("", "\n".join(lines), "utf-8", mark=False), after.dialect.family)
    slots = {one.statement.line: one for one in sort(after.dialect, statements.statements).entries}
    for number, text in enumerate(lines, 1):
        entry = slots.get(number)
        why = reasons.get(entry.shared_slot, ()) if entry and not entry.opens else ()
        yield Part(Kept.ADDED, text, (), why)
