"""Statements → settings by name or by leading cells, as far as a text tells without a dialect."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dump.family import family_of, require_text
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

NO_PARENT = -1

_OPERATORS = frozenset({"=", ":=", ":"})
_NOT_SET = re.compile(r"[ \t]*# ([A-Za-z_][A-Za-z0-9_]*) (is not set)[ \t]*")
_PAIR = re.compile(r"([A-Za-z_][A-Za-z0-9_.\-]*):([^:/\s]+)")
_CELL = re.compile(r'"(?:[^"\\]|\\.)*"[^\s"]*|[^\s"]\S*|"\S*')
_TRAILER = re.compile(r"[ \t]+[#~;](?:[ \t].*)?$")
_REMARKING = frozenset({"!", "//", "--"})  # signs of a remark where they stand alone before it
_COLUMNS = {  # cells of a line of a table, by what stands between them
    sign: re.compile(rf'[ \t]*("(?:[^"]|"")*"|[^{sign}]*?)[ \t]*(?:{sign}|$)') for sign in ",;"
}
_FIRST_COLUMN = {sign: re.compile(rf'[ \t]*(?:"[^"]*"|[^ \t{sign}]*)[ \t]*{sign}') for sign in _COLUMNS}
_TABULAR = 0.9  # of the lines begin with a cell of a table: all of them are lines of one


class Line(Struct, frozen=True):
    """One setting as written.

    ``words[0]`` is the whole name of an assignment (``named``), or the keyword of a row whose cells
    follow. ``parent`` is the index of the line that this one belongs to: its section, or the line
    that it is indented below. ``joint`` stands between the words when they are shown.
    """

    words: tuple[str, ...]
    named: bool
    place: Place
    parent: int = NO_PARENT
    joint: str = " "
    opens: bool = False  # a section's line, which sets nothing itself

    def shown(self, start: int = 0, end: int | None = None) -> str:
        """Some of the words, as they were written."""
        return self.joint.join(self.words[start:end])


class Plain(Struct, frozen=True):
    """A text of settings: what it sets, and how often it makes each remark."""

    source: Text
    lines: tuple[Line, ...]
    remarks: Mapping[str, int]

    @property
    def settings(self) -> int:
        """How many settings the text writes."""
        return sum(not line.opens for line in self.lines)


def plain_sides(a: Text, b: Text) -> tuple[Plain, Plain]:
    """Two texts of one kind, read alike. Raises Refusal if one of them is no text or sets nothing."""
    family = family_of((require_text(a), require_text(b)))
    before, after = read_statements(a, family), read_statements(b, family)
    said = (_said(before), _said(after))
    if family == "columns":
        flat = [tuple(map(_flat_line, side)) for side in said]
        keywords = frozenset(name for side in flat for name in _keywords(side))
        one, other = ([replace(line, named=line.words[0] not in keywords) for line in side] for side in flat)
        return _plain(before, one), _plain(after, other)
    indented = all(map(_is_outline, said))
    sign = next((sign for sign in _COLUMNS if all(_is_table(side, sign) for side in said)), "")
    return _plain(before, _lines(said[0], indented, sign)), _plain(after, _lines(said[1], indented, sign))


def remarks_apart(one: Plain, other: Plain) -> int:
    """How many remark lines stand in ``one`` alone."""
    return (Counter(one.remarks) - Counter(other.remarks)).total()


def _plain(dump: Dump, told: Iterable[Line]) -> Plain:
    lines = tuple(told)
    if not any(not line.opens for line in lines):
        raise Refusal(
            "there is no setting in this text", "give a dump with its lines", Place(dump.file, 1, 1)
        )
    remarks = Counter(" ".join(one.text.split()) for one in dump.statements if _is_remark(one))
    return Plain(dump.source, lines, remarks)


def _said(dump: Dump) -> tuple[Statement, ...]:
    """The lines that set something or open a section."""
    return tuple(
        one
        for one in dump.statements
        if one.kind is not Kind.BLANK and not _is_remark(one) and not _is_silent(one)
    )


def _is_silent(one: Statement) -> bool:
    """Whether a line is nothing but signs, such as the bracket that closes a block."""
    return one.kind in (Kind.ROW, Kind.STRAY) and not any(map(str.isalnum, one.text))


def _is_remark(one: Statement) -> bool:
    if one.kind is Kind.REMARK:
        return not _NOT_SET.fullmatch(one.text.rstrip("\r\n"))
    first = one.text.split(None, 1)[:1]
    return bool(first) and first[0] in _REMARKING and not _is_silent(one)


def _lines(said: Sequence[Statement], indented: bool, sign: str) -> Iterator[Line]:
    section, depth = NO_PARENT, 0
    above: list[tuple[int, int]] = []  # indentation and index of the lines that this one may belong to
    index = 0
    for one in said:
        if one.kind is Kind.SECTION:
            name = " ".join(one.words)
            section, above = index, []
            yield Line((f"[{name}]",), named=True, place=one.place, opens=True)
            index += 1
            continue
        depth = _indentation(one) if indented else 0
        while above and above[-1][0] >= depth:
            above.pop()
        parent = above[-1][1] if above else section
        above.append((depth, index))
        for line in _settings(one, parent, sign):
            yield line
            index += 1


def _flat_line(one: Statement) -> Line:
    """A line of columns: a name and its values. No line belongs to another."""
    commas = _FIRST_COLUMN[","].match(one.text) is not None
    if one.kind is Kind.REMARK:
        return next(_settings(one, NO_PARENT, ""))
    if one.kind is Kind.STRAY and commas:  # an empty column before others
        return Line(_columns(one, ","), named=False, place=_start(one), joint=",")
    words = tuple(text for text, _ in _cells(one))
    return Line(words, named=False, place=_start(one), joint="," if commas else " ")


def _keywords(lines: Iterable[Line]) -> Iterator[str]:
    """The first words of columns that name no setting: they come again with other values behind them."""
    rows: dict[str, set[tuple[str, ...]]] = {}
    for line in lines:
        rows.setdefault(line.words[0], set()).add(line.words)
    for name, seen in rows.items():
        if len(seen) > 1 and max(map(len, seen)) > 2:
            yield name


def _settings(one: Statement, parent: int, sign: str) -> Iterator[Line]:
    """The settings of a line: one, or several where each word is a name and a value."""
    if one.kind is Kind.REMARK:
        unset = _NOT_SET.fullmatch(one.text.rstrip("\r\n"))
        if unset:
            place = Place(one.file, one.line, unset.start(1) + 1)
            yield Line((unset[1], unset[2]), named=True, place=place, parent=parent)
    elif sign:
        yield Line(_columns(one, sign), named=False, place=_start(one), parent=parent, joint=sign)
    else:
        cells = _cells(one)
        words = tuple(text for text, _ in cells)
        pairs = [_PAIR.fullmatch(word) for word in words]
        at = _operator(one, words)
        if at:
            name = " ".join(words[:at])
            yield Line((name, *words[at + 1 :]), named=True, place=_start(one), parent=parent)
        elif all(pairs):
            for pair, (_, column) in zip(pairs, cells, strict=True):
                place = Place(one.file, one.line, column)
                yield Line(pair.groups() if pair else (), named=True, place=place, parent=parent)
        else:
            yield Line(words, named=False, place=_start(one), parent=parent)


def _operator(one: Statement, words: Sequence[str]) -> int:
    """Which word stands between name and value, 0 if none does."""
    if one.kind is Kind.ROW:
        return 0
    return next((n for n, word in enumerate(words) if n and word in _OPERATORS), 0)


def _cells(one: Statement) -> list[tuple[str, int]]:
    """The words of a row or a stray line, and their columns."""
    if one.kind is Kind.STRAY:
        body = _TRAILER.sub("", one.text.rstrip("\r\n"))
        return [(cell[0], cell.start() + 1) for cell in _CELL.finditer(body)]
    return [(word, one.place_of(n).column) for n, word in enumerate(one.words)]


def _columns(one: Statement, sign: str) -> tuple[str, ...]:
    """The cells of a line of a table; what follows the last sign counts even if it is empty."""
    body = one.text.strip()
    if one.kind is Kind.STRAY:
        body = _TRAILER.sub("", body)
    cells = [found[1] for found in _COLUMNS[sign].finditer(body)]
    # the pattern also finds the nothing behind the end, unless the sign stood last
    return tuple(cells if body.endswith(sign) else cells[:-1])


def _start(one: Statement) -> Place:
    return Place(one.file, one.line, len(one.text) - len(one.text.lstrip(" \t")) + 1)


def _is_table(said: Iterable[Statement], sign: str) -> bool:
    """Whether nearly all lines are cells with this sign between them."""
    rows = [one for one in said if one.kind is not Kind.SECTION]
    cells = sum(one.kind is not Kind.ASSIGNMENT and bool(_FIRST_COLUMN[sign].match(one.text)) for one in rows)
    return cells > 0 and cells >= _TABULAR * len(rows)


def _is_outline(said: Sequence[Statement]) -> bool:
    """Whether indented lines certainly belong to the line above them.

    So it is where every line is indented by whole steps of one width, goes in by one step at a
    time, and no assignment has lines below it. Numbers that are only aligned never look like that.
    """
    blanks = [one.text[: _indentation(one)] for one in said if one.kind is not Kind.SECTION]
    signs = {*"".join(blanks)}
    step = min((len(one) for one in blanks if one), default=0)
    if len(signs) != 1 or step < (1 if "\t" in signs else 2):
        return False
    return all(len(one) % step == 0 for one in blanks) and _goes_in_by(step, said)


def _goes_in_by(step: int, said: Iterable[Statement]) -> bool:
    """Whether lines go in, each by one step at most, and never below an assignment."""
    base, above = 0, None  # the indentation of a section's first line, and the line above
    went_in = False
    for one in said:
        if one.kind is Kind.SECTION:
            above = None
            continue
        depth = _indentation(one)
        before = _indentation(above) if above else depth
        if above is None:
            base = depth
        if depth < base or depth > before + step or (depth > before and above and _assigns(above)):
            return False
        went_in = went_in or depth > before
        above = one
    return went_in


def _assigns(one: Statement) -> bool:
    return one.kind in (Kind.ASSIGNMENT, Kind.REMARK)


def _indentation(one: Statement) -> int:
    return len(one.text) - len(one.text.lstrip(" \t"))
