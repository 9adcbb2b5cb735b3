"""Text of a dump → statements, losslessly.

The file is parsed in blocks of lines, so that lark's trees, which weigh some sixty times their
text, never stand in memory for more than one block.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Iterator
from functools import cached_property
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

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_WORD = re.compile(r"[^ \t]+")
_WORDS = frozenset({"NAME", "OPERATOR", "KEYWORD", "CELLS", "VALUES", "QUOTED"})


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
    return [found[0] for found in islice(_LINE.finditer(text), most)]


def _statements(source: Text, family: str) -> Iterator[Statement]:
    section = ""
    number = 1
    for block in _blocks(lines(source.text)):
        for statement in _block(block, source.file, number, family):
            if statement.kind is Kind.SECTION:
                section = " ".join(statement.words)
                yield statement
            elif section:
                yield Statement(
                    statement.kind, statement.file, statement.line, statement.text, statement.spans, section
                )
            else:
                yield statement
        number += len(block)


def _blocks(rows: list[str]) -> Iterator[list[str]]:
    block: list[str] = []
    for row in rows:
        if len(row) > LONGEST or len(block) == BLOCK:
            if block:
                yield block
            block = []
        if len(row) > LONGEST:
            yield [row]
        else:
            block.append(row)
    if block:
        yield block


def _block(rows: list[str], file: str, first: int, family: str) -> list[Statement]:
    from lark import UnexpectedInput

    if len(rows) == 1 and len(rows[0]) > LONGEST:
        return [_astray(rows[0], file, first)]
    try:
        tree = parser(family).parse("".join(rows))
    except UnexpectedInput:
        if len(rows) == 1:
            return [_astray(rows[0], file, first)]
        return [s for n, row in enumerate(rows) for s in _block([row], file, first + n, family)]
    return list(_marked(tree, rows, file, first))


def _astray(row: str, file: str, line: int) -> Statement:
    body = row.rstrip("\r\n")
    start = len(body) - len(body.lstrip(" \t"))
    if start == len(body):
        return Statement(Kind.BLANK, file, line, row)
    return Statement(Kind.STRAY, file, line, row, (start, len(body)))


def _marked(tree: Tree[Token], rows: list[str], file: str, first: int) -> Iterator[Statement]:
    """The lines of a block's tree as statements: kinds from its rules, spans from its tokens."""
    from lark import Token

    pieces = iter(tree.children)
    begin = 0
    for n, row in enumerate(rows):
        piece = next(pieces)
        if isinstance(piece, Token):  # a line end: the line is empty
            yield Statement(Kind.BLANK, file, first + n, row)
        else:
            kind = Kind(piece.data)
            yield Statement(kind, file, first + n, row, _spans(kind, piece, row, begin))
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
            if token.type == "QUOTED":
                spans += (row.index('"', start), end)
            else:
                spans += _edges(row, start, end)
    return tuple(spans)


def _edges(row: str, start: int, end: int) -> Iterator[int]:
    for word in _WORD.finditer(row, start, end):
        yield from word.span()
