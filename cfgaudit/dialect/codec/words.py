"""Words: one of several, yes or no, free text."""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.codec.pattern import Pattern
from cfgaudit.model.value import Scalar, Value, spoken


class Words(Struct, frozen=True):
    """An enumeration: written word → model value; of two words for a value the first is written."""

    values: Mapping[str, Scalar]

    def read(self, text: str) -> Scalar:
        """See Codec."""
        try:
            return self.values[text]
        except KeyError:
            raise Misfit(f"is not one of {', '.join(self.values)}", "word") from None

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        for word, meant in self.values.items():
            if meant == value and isinstance(meant, bool) == isinstance(value, bool):
                return word
        raise Misfit(f"has no word; the firmware knows {spoken(list(self.values.values()))}", "word")

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return next((meant for meant in self.values.values() if str(meant) == key), key)


class Flag(Struct, frozen=True):
    """Yes or no, in the spellings of the firmware; the first of each is the one written."""

    on: tuple[str, ...] = ("on",)
    off: tuple[str, ...] = ("off",)

    def read(self, text: str) -> bool:
        """See Codec."""
        if text in self.on:
            return True
        if text in self.off:
            return False
        raise Misfit(f"is not one of {', '.join(self.on + self.off)}", "word")

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if not isinstance(value, bool):
            raise Misfit("is neither yes nor no")
        return self.on[0] if value else self.off[0]

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is yes or no: it cannot stand in a path")


class Free(Struct, frozen=True):
    """Text, perhaps of a pattern.

    ``quoted`` is always written in quotes, ``bare`` never; other text where it needs them.
    """

    pattern: Pattern | None = None
    quoted: bool = False
    bare: bool = False

    def read(self, text: str) -> str:
        """See Codec."""
        plain = _ESCAPED.sub(r"\1", text[1:-1]) if _IN_QUOTES.fullmatch(text) else text
        if self.pattern and not self.pattern.fits(plain):
            raise Misfit(f"does not look like {self.pattern.text}")
        return plain

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if not isinstance(value, str) or not value.isprintable():
            raise Misfit("is not plain text")
        if self.pattern and not self.pattern.fits(value):
            raise Misfit(f"does not look like {self.pattern.text}")
        if self.bare:
            return _as_it_is(value)
        if self.quoted or _needs_quotes(value):
            escaped = value.replace("\\", "\\\\").replace('"', '\\"')
            return f'"{escaped}"'
        return value

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return key


_IN_QUOTES = re.compile(r'"(?:[^"\\]|\\.)*+"')
_ESCAPED = re.compile(r"\\(.)")
_REMARKED = re.compile(r" [#~;](?: |$)")


def _as_it_is(value: str) -> str:
    if value != value.strip(" ") or value[:1] in ("", '"', "#", "~", ";") or _REMARKED.search(value):
        raise Misfit("cannot be written without quotes")
    return value


def _needs_quotes(value: str) -> bool:
    return not value or '"' in value or " " in value or value[0] in "#~;"
