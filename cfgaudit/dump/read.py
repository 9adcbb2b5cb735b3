"""Text of a dump → statements, losslessly.

The file is parsed in blocks of lines, so that lark's trees, which weigh some sixty times their
text, never stand in memory for more than one block.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Iterator
from functools import cache, cached_property
from itertools import islice
from typing import TYPE_CHECKING

from msgspec import Struct

from cfgaudit.dump.grammar import parser
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text

if TYPE_CHECKING:
    from lark import Token, Tree

BLOCK = 500  # lines a parse
LONGEST = 4096  # characters; a longer line is astray without being parsed
KNOWN_MOST = 20_000  # lines of a family that are remembered

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_WORD = re.compile(r"[^ \t]+")
_FIELD = re.compile(r"[^ \t,]+(?:[ \t]+[^ \t,]+)*")
_QUOTED = frozenset({"QUOTED", "QUOTED_FIELD"})
_WORDS = frozenset({"NAME", "OPERATOR", "KEYWORD", "CELLS", "VALUES", "HEAD", "COLUMNS", "FIELDS"}) | _QUOTED


class Dump(Struct, frozen=True, dict=True):
    """A dump's statements in the order of the file, every line of it included."""

    source: Text
    family: str
    statements: tuple[Statement, ...]

    @property
    def file(self) -> str:
        """The name of the file, as the user gave it."""
        return self.source.file

    @property
    def text(self) -> str:
        """The text that was read, joined again from the statements."""
        return "".join(statement.text for statement in self.statements)

    @cached_property
    def settings(self) -> int:
        """How many lines say something: rows, assignments and strays."""
        silent = (Kind.BLANK, Kind.REMARK, Kind.SECTION)
        return sum(statement.kind not in silent for statement in self.statements)


def read_statements(source: Text, family: str) -> Dump:
    """Parse a text by its family's grammar. Never fails: what no rule knows is a stray statement."""
    collecting = gc.isenabled()
    gc.disable()  # a parse makes many short-lived objects and no cycles: a third of the time
    try:
        return Dump(source, family, tuple(_statements(source, family)))
    finally:
        if collecting:
            gc.enable()


def lines(text: str, most: int | None = None) -> list[str]:
    """The lines of a text, or its first ones, with their ends.

    Unlike with str.splitlines only CR LF, LF and CR end a line.
    """
    if most is None:
        every: list[str] = _LINE.findall(text)
        return every
    return [found[0] for found in islice(_LINE.finditer(text), most)]


def _statements(source: Text, family: str) -> Iterator[Statement]:
    section = ""
    number = 0
    for block in _blocks(lines(source.text)):
        for row, (kind, spans) in zip(block, _marked(block, family), strict=True):
            number += 1
            if kind is Kind.SECTION:
                section = " ".join(row[spans[n] : spans[n + 1]] for n in range(0, len(spans), 2))
            here = "" if kind is Kind.SECTION else section
            yield Statement(kind, source.file, number, row, spans, here)


def _blocks(rows: list[str]) -> Iterator[list[str]]:
    for start in range(0, len(rows), BLOCK):
        yield rows[start : start + BLOCK]


Marks = tuple[Kind, tuple[int, ...]]  # what a line is, and the spans of its words


@cache
def _known(family: str) -> dict[str, Marks]:
    """Lines that were parsed before in this process: two dumps of one craft share nearly all of theirs."""
    return {}


def _marked(rows: list[str], family: str) -> list[Marks]:
    """The marks of each line. A line means the same wherever it stands, so each is parsed once."""
    known = _known(family)
    new = [row for row in dict.fromkeys(rows) if row not in known]
    if len(known) + len(new) > KNOWN_MOST:
        known.clear()
        new = list(dict.fromkeys(rows))
    long = [row for row in new if len(row) > LONGEST]
    known |= {row: _astray(row) for row in long}
    if rest := [row for row in new if len(row) <= LONGEST]:
        known |= zip(rest, _parsed(rest, family), strict=True)
    return [known[row] for row in rows]


def _parsed(rows: list[str], family: str) -> list[Marks]:
    from lark import UnexpectedInput

    try:
        return list(_marks(parser(family).parse("".join(rows)), rows))
    except UnexpectedInput:
        if len(rows) == 1:
            return [_astray(rows[0])]
        return [marks for row in rows for marks in _parsed([row], family)]


def _astray(row: str) -> Marks:
    body = row.rstrip("\r\n")
    start = len(body) - len(body.lstrip(" \t"))
    return (Kind.BLANK, ()) if start == len(body) else (Kind.STRAY, (start, len(body)))


def _marks(tree: Tree[Token], rows: list[str]) -> Iterator[Marks]:
    """The marks of the lines of a tree: kinds from its rules, spans from its tokens."""
    from lark import Token

    pieces = iter(tree.children)
    begin = 0
    for row in rows:
        piece = next(pieces)
        if isinstance(piece, Token):  # a line end: the line is empty
            yield Kind.BLANK, ()
        else:
            kind = Kind(piece.data)
            yield kind, _spans(kind, piece, row, begin)
            if row[-1] in "\r\n":
                next(pieces)
        begin += len(row)


def _spans(kind: Kind, line: Tree[Token], row: str, begin: int) -> tuple[int, ...]:
    from lark import Token

    if kind is Kind.STRAY:
        body = row.rstrip("\r\n")
        return (len(body) - len(body.lstrip(" \t")), len(body))
    if kind is Kind.SECTION:
        opening, closing = row.index("[") + 1, row.index("]")
        return tuple(_edges(row, opening, closing))
    spans: list[int] = []
    for token in line.children:
        if isinstance(token, Token) and token.type in _WORDS:
            start, end = (token.start_pos or 0) - begin, (token.end_pos or 0) - begin
            if token.type in _QUOTED:
                spans += (row.index('"', start), end)
            else:
                spans += _edges(row, start, end, _FIELD if token.type == "FIELDS" else _WORD)
    return tuple(spans)


def _edges(row: str, start: int, end: int, words: re.Pattern[str] = _WORD) -> Iterator[int]:
    for word in words.finditer(row, start, end):
        yield from word.span()
