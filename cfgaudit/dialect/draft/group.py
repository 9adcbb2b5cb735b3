"""What drafting works on: groups of lines of one shape, their cells, and guesses about them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

Place = tuple[str, str, bool]  # the line that opens the scope or "", the line or the setting, and which


class Said(Struct, frozen=True):
    """A line of the dump, and the section or selector line above it, or ""."""

    under: str
    text: str


class Group(Struct, frozen=True):
    """Lines of one shape in one kind of scope: a form, or a setting with the one cell ``value``.

    ``rows`` holds the texts of the cells, a tuple for each line in the order of the dump; ``outer``
    the texts of the scope's cells for each of those lines.
    """

    opens: str
    line: str  # the template; of a setting, its name
    is_setting: bool
    cells: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    outer: tuple[tuple[str, ...], ...]
    first: int  # the number of its first line in the dump
    key: tuple[str, ...] = ()
    said: tuple[Said, ...] = ()  # each line as it stands in the dump

    @property
    def place(self) -> Place:
        """What names the group in the draft."""
        return self.opens, self.line, self.is_setting

    def column(self, cell: str) -> tuple[str, ...]:
        """The texts of one cell, line by line."""
        n = self.cells.index(cell)
        return tuple(row[n] for row in self.rows)


class Opening(Struct, frozen=True):
    """A kind of line that opens a scope: its template, its cells and what they held."""

    opens: str
    cells: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first: int


class Sketch(Struct, frozen=True):
    """A dump as far as its shape goes, without any meaning."""

    family: str
    assignment: str  # "{name} = {value}"
    openings: tuple[Opening, ...]
    groups: tuple[Group, ...]
    astray: tuple[int, ...]  # numbers of the lines that no grammar rule knows
    separator: str = " "  # between the words of its lines and of the templates made of them


class Guess(Struct, frozen=True):
    """A cell whose codec is settled, and the model path that it gives (or "", if it only stands in paths).

    ``spec`` is the cell's YAML. A path may name cells of the group and of its scope.
    """

    place: Place
    cell: str
    spec: str
    path: str
    why: str
    doubt: str = ""


class Question(Struct, frozen=True):
    """What is not settled: what it is about, and the readings that are still possible."""

    about: str
    readings: tuple[str, ...]
    ask: str = ""  # the change that would settle it


class Lesson(Struct, frozen=True):
    """What the sheet tells of one line: a fact in the model's words, as teaching keeps it."""

    fact: str
    said: Said


class Solved(Struct, frozen=True):
    """What one line of reasoning came to."""

    guesses: tuple[Guess, ...] = ()
    questions: tuple[Question, ...] = ()
    lessons: tuple[Lesson, ...] = ()


class Field(Struct, frozen=True):
    """One thing that a table says of each of its records."""

    place: Place
    cell: str
    label: str
    texts: Mapping[str, str]  # by record
    is_setting: bool = False
    said: Mapping[str, Said] = {}  # the line of each record


class Table(Struct, frozen=True):
    """Lines that speak of the same kind of thing, by what names each: a port's, an output's."""

    label: str
    names: tuple[str, ...]  # the records, as written
    named_by: tuple[tuple[Place, str], ...]  # the cells that hold the names; a scope's: (the scope, cell)
    fields: tuple[Field, ...]

    @property
    def key(self) -> str:
        """The name of the cell that holds the records' names."""
        return self.named_by[0][1]


def words_of(text: str) -> Iterator[str]:
    """The words in a name: ``volts.cell-low`` → volts, cell, low."""
    word = ""
    for sign in text:
        if sign.isalpha() and not (sign.isupper() and word and word[-1].islower()):
            word += sign
        else:
            if word:
                yield word.lower()
            word = sign if sign.isalpha() else ""
    if word:
        yield word.lower()
