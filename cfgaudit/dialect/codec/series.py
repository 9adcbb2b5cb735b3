"""Lists: several values in one cell or in all the cells that are left."""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.dialect.codec.codec import ANY, Codec, Fields, Misfit, Range
from cfgaudit.model.value import Scalar, Value

_IN_QUOTES = r'"(?:[^"\\]|\\.)*+"'


class Series(Struct, frozen=True):
    """Values of one kind between separators; an empty list has a word of its own.

    ``range`` is that of the single values. ``tight`` is written without a blank behind the separator,
    as columns are.
    """

    of: Codec
    separator: str = ""  # "" is blanks
    empty: str = ""
    range: Range = ANY
    tight: bool = False

    def read(self, text: str) -> tuple[Scalar, ...]:
        """See Codec."""
        if text.strip() == self.empty:
            return ()
        return tuple(_single(self.of.read(part)) for part in self._parts(text))

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if not isinstance(value, tuple):
            raise Misfit("is not a list")
        joint = self.separator if self.tight else f"{self.separator} "
        parts = [self.of.write(one) for one in value]
        text = joint.join(parts) or self.empty
        # A value with the separator in it, or one that looks like the word for an empty list
        if value and (text.strip() == self.empty or self._parts(text) != parts):
            raise Misfit("would be read back as another list")
        return text

    def _parts(self, text: str) -> list[str]:
        if '"' in text:
            return [*_quoted_parts(text, self.separator)]
        parts = text.split(self.separator) if self.separator else text.split()
        return [part.strip() for part in parts]

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is a list: it cannot stand in a path")


def _quoted_parts(text: str, separator: str) -> Iterator[str]:
    """The parts of a list of which some stand in quotes: what is in them parts nothing."""
    if not separator:
        yield from re.findall(rf"{_IN_QUOTES}(?!\S)|\S+", text)
        return
    end = re.escape(separator)
    part = re.compile(rf"\s*{_IN_QUOTES}\s*(?={end}|\Z)|.*?(?={end}|\Z)", re.DOTALL)
    at = 0
    while found := part.match(text, at):
        yield found[0].strip()
        if found.end() == len(text):
            return
        at = found.end() + len(separator)


def _single(value: Value | Fields) -> Scalar:
    if isinstance(value, bool | int | float | str):
        return value
    raise Misfit("holds a list within a list")
