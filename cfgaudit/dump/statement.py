"""One setting as it was written: the one shape that every grammar family is read into."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from cfgaudit.model.place import Place


class Kind(StrEnum):
    """What a line is, as far as its grammar can tell without knowing the firmware."""

    BLANK = "blank"
    REMARK = "remark"
    SECTION = "section"  # [name]: opens a section; words = the words of the name
    ASSIGNMENT = "assignment"  # words = leading words, name, the operator, the value
    ROW = "row"  # words = keyword and cells
    STRAY = "stray"  # no grammar rule knows it


class Statement(Struct, frozen=True):
    """A line with its parts marked.

    ``text`` is the whole line with its line end, so that joining the texts of all statements
    gives the file back byte for byte. ``spans`` holds start and end offsets into ``text`` of the
    words, flat: (start, end, start, end, …). ``section`` is the section the line stands in
    (sectioned family), else "".
    """

    kind: Kind
    file: str
    line: int
    text: str
    spans: tuple[int, ...] = ()
    section: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The words as written, quotes included."""
        spans = self.spans
        return tuple(self.text[spans[i] : spans[i + 1]] for i in range(0, len(spans), 2))

    @property
    def place(self) -> Place:
        """Where the line's first word stands."""
        return self.place_of(0)

    def place_of(self, word: int) -> Place:
        """Where the word with this index stands (the line's first column if it has no such word)."""
        start = self.spans[2 * word] if 2 * word < len(self.spans) else 0
        return Place(self.file, self.line, start + 1)

    @property
    def shown(self) -> str:
        """The line without its line end and indentation, for people."""
        return self.text.strip()
