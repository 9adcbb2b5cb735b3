"""Templates: a line as a firmware writes it, and a path of the model, with cells in braces."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from itertools import pairwise
from operator import add

from msgspec import Struct

from cfgaudit.dump.statement import Statement
from cfgaudit.model.path import Path

_HOLE = re.compile(r"\{([a-z_][a-z0-9_]*)(\.\.\.)?\}")
SEGMENT = re.compile(r"[A-Za-z0-9_-]+")
# A name at the start of a word, with cells in it, and the operator behind it, as the grammars read them.
_ASSIGNED = re.compile(
    r"(?<![^ \t])(?P<name>(?:[A-Za-z_]|\{[a-z_][a-z0-9_]*\})(?:[A-Za-z0-9_.\-/]|\{[a-z_][a-z0-9_]*\})*"
    r"(?:\[(?:[A-Za-z0-9_.\-]|\{[a-z_][a-z0-9_]*\})*\])?)[ \t]*(?P<operator>:=|=(?!=)|:(?=[ \t]))"
)
_WORD = re.compile(r"\S+")
_BRACE = re.compile(r"[{}]")


class Word(Struct, frozen=True):
    """One word of a line: fixed, or with cells in it (``u4``, ``{id}``, ``m{n}``)."""

    text: str
    pattern: re.Pattern[str] | None  # None for a fixed word
    cells: tuple[str, ...] = ()

    def match(self, written: str) -> dict[str, str] | None:
        """The cells' texts if the written word fits, else None."""
        if self.pattern is None:
            return {} if written == self.text else None
        found = self.pattern.fullmatch(written)
        return dict(zip(self.cells, found.groups(), strict=True)) if found else None

    def render(self, texts: Mapping[str, str]) -> str:
        """The word with its cells filled in."""
        return _HOLE.sub(lambda hole: texts[hole[1]], self.text) if self.pattern else self.text


class Line(Struct, frozen=True):
    """A line's template; ``tail`` names the cell that takes all the words that are left, or is "".

    ``separator`` stands between the words: a blank, or the comma of a columns dump. ``gaps`` are what
    stands behind each word but the last, if it is not the separator everywhere: an operator may stand
    directly behind a name.
    """

    text: str
    words: tuple[Word, ...]
    tail: str
    separator: str = " "
    gaps: tuple[str, ...] = ()
    operators: bool = False  # an operator behind a name is a word

    @property
    def cells(self) -> tuple[str, ...]:
        """The names of the cells, in order."""
        names = [name for word in self.words for name in word.cells]
        return (*names, self.tail) if self.tail else tuple(names)

    @property
    def keyword(self) -> str:
        """The first word if it is fixed, else ""."""
        return self.words[0].text if self.words and self.words[0].pattern is None else ""

    def word_of(self, cell: str, statement: Statement) -> int:
        """Which word of a line that fits a cell stands in; the first for a cell that it does not have."""
        if cell == self.tail:
            return min(len(self.words), len(statement.spans) // 2 - 1)
        return next((n for n, word in enumerate(self.words) if cell in word.cells), 0)

    def match(self, statement: Statement) -> dict[str, str] | None:
        """The cells' texts of a line that fits, else None."""
        spans, count = statement.spans, len(self.words)
        have = len(spans) // 2
        if have < count or (have > count and not self.tail):
            return None
        keyword = self.keyword
        if keyword and statement.text[spans[0] : spans[1]] != keyword:
            return None  # most lines, without cutting the others' words
        written = statement.words
        texts: dict[str, str] = {}
        for word, text in zip(self.words, written, strict=False):
            cells = word.match(text)
            if cells is None:
                return None
            texts |= cells
        if self.tail:
            rest = spans[2 * count :]
            texts[self.tail] = statement.text[rest[0] : rest[-1]] if rest else ""
        return texts

    def render(self, texts: Mapping[str, str]) -> str:
        """The line with its cells filled in."""
        words = [word.render(texts) for word in self.words]
        if self.tail:
            words.append(texts[self.tail])
        if self.gaps:
            return "".join(map(add, words, (*self.gaps, ""))).rstrip()
        return self.separator.join(words).rstrip()


def line(text: str, separator: str = " ", operators: bool = False, numbers: Collection[str] = ()) -> Line:
    """``"link {id} does {jobs}"`` → its template. Raises ValueError with what is wrong.

    With ``operators`` the first operator behind a name is a word, with or without blanks around it.
    ``numbers`` are the cells that begin with no letter, so that no name begins with them.
    """
    words = text.split() if separator == " " else [word.strip() for word in text.split(separator)]
    gaps: tuple[str, ...] = ()
    if operators:
        words, gaps = _apart(text, numbers)
    tail = ""
    if words and (last := _HOLE.fullmatch(words[-1])) and last[2]:
        tail = last[1]
        words = words[:-1]
    made = tuple(_word(word) for word in words)
    template = Line(text, made, tail, separator, gaps, operators)
    if not words:
        raise ValueError("a line needs a word before its cells")
    if not all(words):
        raise ValueError("a column of the line is empty")
    if len(set(template.cells)) != len(template.cells):
        raise ValueError("a cell stands twice in the line")
    return template


def _apart(text: str, numbers: Collection[str]) -> tuple[list[str], tuple[str, ...]]:
    """The words of a line, its operator apart, and the gaps behind them if they are not all one blank."""
    edges = []
    for found in _ASSIGNED.finditer(text):
        first = _HOLE.match(found["name"])
        if first is None or first[1] not in numbers:
            edges = [found.end("name"), *found.span("operator")]
            break
    spans: list[tuple[int, int]] = []
    for start, end in (word.span() for word in _WORD.finditer(text.rstrip())):
        cuts = [start, *sorted({edge for edge in edges if start < edge < end}), end]
        spans += pairwise(cuts)
    gaps = tuple(
        " " if (gap := text[one[1] : other[0]]).strip(" \t") else gap for one, other in pairwise(spans)
    )
    return [text[start:end] for start, end in spans], gaps if set(gaps) != {" "} else ()


def _word(text: str) -> Word:
    if not _BRACE.search(text):
        return Word(text, None)
    if any(hole[2] for hole in _HOLE.finditer(text)):
        raise ValueError("only the last word may take all that is left")
    pattern, names = holes(text, _HOLE)
    return Word(text, pattern if names else None, names)


def holes(text: str, hole: re.Pattern[str], blank: str = r"\ ") -> tuple[re.Pattern[str], tuple[str, ...]]:
    """A text with holes → what matches it filled in, and the holes' names (their first groups).

    A hole ends where the text behind it first comes again; nothing is tried twice, so that no line
    can take long. ``blank`` is the pattern that a blank stands for. Raises ValueError with what is wrong.
    """
    found = list(hole.finditer(text))
    edges = [0, *(edge for one in found for edge in one.span()), len(text)]
    fixed = [text[start:end] for start, end in zip(edges[::2], edges[1::2], strict=True)]
    if any(_BRACE.search(piece) for piece in fixed):
        raise ValueError(f"{text!r} has a brace too many; a cell is named in small letters, such as {{id}}")
    if not all(fixed[1:-1]):
        raise ValueError(f"{text!r} does not say where one cell ends and the next begins")
    fixed = [re.escape(piece).replace(r"\ ", blank) for piece in fixed]
    pattern = fixed[0]
    pattern += "".join(f"(?>(.+?){piece})" for piece in fixed[1:-1])
    if found:
        pattern += f"(.+){fixed[-1]}"
    return re.compile(pattern), tuple(one[1] for one in found)


class PathTemplate(Struct, frozen=True):
    """A model path with cells as segments: ``ports.{id}.functions``."""

    segments: tuple[str, ...]
    holes: tuple[bool, ...]  # which segments are cells
    cells: tuple[str, ...]  # those that are

    def fill(self, keys: Mapping[str, str]) -> Path:
        """The path with its cells filled in."""
        return tuple(
            keys[segment] if hole else segment
            for segment, hole in zip(self.segments, self.holes, strict=True)
        )

    def match(self, path: Path) -> dict[str, str] | None:
        """The cells' keys if a path fits, else None."""
        if len(path) != len(self.segments):
            return None
        keys: dict[str, str] = {}
        for have, segment, hole in zip(path, self.segments, self.holes, strict=True):
            if hole:
                keys[segment] = have
            elif have != segment:
                return None
        return keys


def path(text: str) -> PathTemplate:
    """``"ports.{id}.functions"`` → its template. Raises ValueError with what is wrong."""
    segments, are_cells = [], []
    for segment in text.split("."):
        hole = _HOLE.fullmatch(segment)
        if not hole and not SEGMENT.fullmatch(segment):
            raise ValueError(f"{text!r} is not a path such as ports.{{id}}.functions")
        segments.append(hole[1] if hole else segment)
        are_cells.append(bool(hole))
    cells = tuple(segment for segment, is_cell in zip(segments, are_cells, strict=True) if is_cell)
    if len(set(cells)) != len(cells):
        raise ValueError(f"{text!r} has a cell twice")
    return PathTemplate(tuple(segments), tuple(are_cells), cells)
