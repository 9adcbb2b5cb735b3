"""Lessons: what a builder changed, and the lines of two dumps that changed by it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Entry
from cfgaudit.dialect.sort import sort
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold, fact
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed
from cfgaudit.model.refusal import Refusal

CHANGED_MOST = 50  # lines that a change made on purpose may change

_DIGITS = re.compile(r"[0-9]+")


class Changed(Struct, frozen=True):
    """One line before and after, "" where there is none, and the section or selector line above it."""

    under: str
    before: str
    after: str


class Lesson(Struct, frozen=True):
    """What was changed, and the lines that changed. Lessons count from 1, as they stand in the file."""

    number: int
    facts: tuple[Fact, ...]
    changed: tuple[Changed, ...]

    @property
    def said(self) -> str:
        """How messages call the lesson."""
        return f"lesson {self.number} ({'; '.join(one.text for one in self.facts)})"

    @property
    def data(self) -> dict[str, Any]:
        """The lesson as the dialect file keeps it."""
        return {
            "facts": [one.text for one in self.facts],
            "changed": [
                {
                    key: text
                    for key, text in (("under", one.under), ("before", one.before), ("after", one.after))
                    if text
                }
                for one in self.changed
            ],
        }


def kept_lessons(placed: Placed) -> tuple[Lesson, ...]:
    """The lessons of a dialect file that its schema has accepted. Raises Refusal."""
    data: Any = placed.data
    made = []
    for n, one in enumerate(data.get("lessons", ())):
        try:
            facts = tuple(fact(text) for text in one["facts"])
        except Refusal as refusal:
            place = placed.place(("lessons", n, "facts"))
            raise Refusal(refusal.what, refusal.mend, place) from None
        changed = tuple(
            Changed(each.get("under", ""), each.get("before", ""), each.get("after", ""))
            for each in one["changed"]
        )
        made.append(Lesson(n + 1, facts, changed))
    return tuple(made)


# Which lines changed


class Spoken(Struct, frozen=True):
    """A line that says something, and the section or selector line above it."""

    under: str
    statement: Statement

    @property
    def text(self) -> str:
        return self.statement.shown


def spoken_lines(dialect: Dialect, statements: Iterable[Statement]) -> Iterator[Spoken]:
    """The lines of a dump that say something."""
    under = ""
    for statement in statements:
        if statement.kind in (Kind.BLANK, Kind.REMARK):
            continue
        yield Spoken("" if _opens(dialect, statement) else under, statement)
        if _opens(dialect, statement):
            under = statement.shown


def _opens(dialect: Dialect, statement: Statement) -> bool:
    if dialect.family == "sectioned":
        return statement.kind is Kind.SECTION
    return statement.kind is not Kind.STRAY and any(
        scope.opens is not None and scope.opens.match(statement) is not None for scope in dialect.scopes[1:]
    )


def changes(dialect: Dialect, before: Sequence[Statement], after: Sequence[Statement]) -> tuple[Changed, ...]:
    """The lines of two dumps that differ, paired; a line that has only moved does not."""
    old = Counter((one.under, one.text) for one in spoken_lines(dialect, before))
    new = Counter((one.under, one.text) for one in spoken_lines(dialect, after))
    gone, come = list((old - new).elements()), list((new - old).elements())
    if max(len(gone), len(come)) > CHANGED_MOST:
        what = f"{max(len(gone), len(come))} lines differ, more than a change made on purpose would change"
        mend = "make one change, dump right before it and right after it, and both dumps in the same way"
        raise Refusal(what, mend, Place(after[0].file if after else "", 1, 1))
    kinds: dict[tuple[str, str], list[_Cut]] = {}
    for under, text in come:
        cut = _cut(text)
        kinds.setdefault((under, cut.words[0]), []).append(cut)
    made = []
    for under, text in gone:
        cut = _cut(text)
        alike = kinds.get((under, cut.words[0]), [])
        best = max(alike, key=lambda one: _likeness(cut.words, one.words), default=None)
        if best:
            alike.remove(best)
        made.append(Changed(under, text, best.text if best else ""))
    left = Counter((under, one.text) for (under, _), some in kinds.items() for one in some)
    return (*made, *(Changed(under, "", text) for under, text in come if _taken(left, (under, text))))


class _Cut(Struct, frozen=True):
    """A line in its words."""

    text: str
    words: tuple[str, ...]


def _cut(text: str) -> _Cut:
    return _Cut(text, tuple(re.split(r"[\s,]+", text)))


def _taken(left: Counter[tuple[str, str]], one: tuple[str, str]) -> bool:
    left[one] -= 1
    return left[one] >= 0


def _likeness(first: Sequence[str], second: Sequence[str]) -> float:
    """The share of words that two lines with the same first word have in common."""
    same = sum(a == b for a, b in zip(first, second, strict=False))
    return float(same) / max(len(first), len(second))


# Lines as cells


class Spot(Struct, frozen=True):
    """A kind of line of the dialect: a form, a setting, or what opens a scope.

    ``pattern`` is a setting's name with ``{n}`` for each number in it: settings that differ only in
    an index are then one kind of line.
    """

    scope: int
    kind: str  # "form", "setting", "opens" or "pattern"
    name: str


class Row(Struct, frozen=True):
    """A line of a dump by its cells as written, those of its scope among them."""

    spot: Spot
    cells: Mapping[str, str]
    under: str
    text: str


def rows(dialect: Dialect, statements: Iterable[Statement]) -> Iterator[Row]:
    """The lines that the dialect knows, each with its cells."""
    outer: Mapping[str, str] = {}
    under = ""
    numbers = {id(scope): n for n, scope in enumerate(dialect.scopes)}
    for entry in sort(dialect, statements).entries:
        if entry.opens:
            outer, under = entry.texts, entry.statement.shown
            yield _row(entry, numbers[id(entry.scope)], {}, "")
        else:
            inside = entry.scope is not dialect.scopes[0]
            yield _row(entry, numbers[id(entry.scope)], outer if inside else {}, under if inside else "")


def _row(entry: Entry, scope: int, outer: Mapping[str, str], under: str) -> Row:
    form = entry.form
    kind = "opens" if entry.opens else "setting" if form.name else "form"
    name = form.name or form.line.text
    return Row(Spot(scope, kind, name), {**outer, **entry.texts}, under, entry.statement.shown)


def patterned(row: Row) -> Row:
    """A setting with a number in its name as one of many that differ in it; any other row as it is."""
    if row.spot.kind != "setting":
        return row
    found = list(_DIGITS.finditer(row.spot.name))
    if not found:
        return row
    cells = dict(row.cells)
    name, end = "", 0
    for n, one in enumerate(found):
        cell = "n" if n == 0 else f"n{n + 1}"
        while cell in row.cells:
            cell = f"{cell}_"
        name += f"{row.spot.name[end : one.start()]}{{{cell}}}"
        cells[cell], end = one[0], one.end()
    return Row(Spot(row.spot.scope, "pattern", name + row.spot.name[end:]), cells, row.under, row.text)


class Pair(Struct, frozen=True):
    """A changed line by its cells, before and after."""

    changed: Changed
    before: Row | Untold
    after: Row | Untold

    @property
    def row(self) -> Row:
        """The line after the change, or before it if it went away."""
        row = self.before if isinstance(self.after, Untold) else self.after
        assert not isinstance(row, Untold)
        return row

    @property
    def cells(self) -> tuple[str, ...]:
        """The cells that changed: all that may have, if the line came or went."""
        if isinstance(self.before, Untold) or isinstance(self.after, Untold):
            return tuple(self.row.cells)
        before, after = self.before.cells, self.after.cells
        return tuple(name for name in after if before.get(name) != after[name])

    def texts(self, cell: str) -> tuple[str | Untold, str | Untold]:
        """A cell before and after."""
        before = UNTOLD if isinstance(self.before, Untold) else self.before.cells[cell]
        return before, UNTOLD if isinstance(self.after, Untold) else self.after.cells[cell]

    def patterned(self) -> Pair:
        """The pair with the numbers in a setting's name as cells."""
        before = self.before if isinstance(self.before, Untold) else patterned(self.before)
        return Pair(
            self.changed, before, self.after if isinstance(self.after, Untold) else patterned(self.after)
        )


def pairs(dialect: Dialect, lesson: Lesson) -> tuple[Pair, ...]:
    """A lesson's changed lines by their cells; those that the dialect does not know are left out."""
    made = []
    for one in lesson.changed:
        before, after = _read(dialect, one.under, one.before), _read(dialect, one.under, one.after)
        if any(text and isinstance(row, Untold) for text, row in ((one.before, before), (one.after, after))):
            continue  # of which the dialect knows one side only is no line that came or went
        if isinstance(before, Untold) and isinstance(after, Untold):
            continue
        if not isinstance(before, Untold) and not isinstance(after, Untold) and before.spot != after.spot:
            made += [Pair(one, before, UNTOLD), Pair(one, UNTOLD, after)]
        else:
            made.append(Pair(one, before, after))
    return tuple(made)


def known(dialect: Dialect, under: str, text: str) -> bool:
    """Whether the dialect has a form or a setting for a line."""
    return not isinstance(_read(dialect, under, text), Untold)


def _read(dialect: Dialect, under: str, text: str) -> Row | Untold:
    if not text:
        return UNTOLD
    typed = Text("", f"{under}\n{text}\n" if under else f"{text}\n", "utf-8", mark=False)
    found = list(rows(dialect, read_statements(typed, dialect.family).statements))
    return found[-1] if found and found[-1].text == text.strip() else UNTOLD
