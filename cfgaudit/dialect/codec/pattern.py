"""Patterns of free text: the part of regular expressions of which no text can make a long matter.

A pattern covers the whole text. It is made of characters, escapes and sets such as ``[a-z]``, each
perhaps with how often it comes (``?``, ``*``, ``+``, ``{4}``, ``{1,4}``), and ``|`` between
alternatives. There are no groups, and what follows a part that may come more or less often must
start with another character: so nothing is ever tried twice, and a match takes one pass for each
alternative.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

LONGEST = 200  # characters of a pattern

_ESCAPE = r"\\(?:[dDwWsS]|[^A-Za-z0-9])"
_PART = re.compile(
    rf"(\[\^?(?:{_ESCAPE}|[^\\\[\]])+\]|{_ESCAPE}|[^\\\[\](){{}}?*+|^$])"
    r"([?*+]|\{[0-9]{1,4}(?:,[0-9]{0,4})?\})?"
)
_DOUBLED = re.compile(r"--|&&|~~|\|\|")  # kept for set arithmetic by the library
_MADE_OF = (
    "characters, sets such as [a-z] and how often they come (?, *, +, {1,4}) can, with | between "
    "alternatives; a backslash before any other sign makes it a character"
)
_ASCII = tuple(map(chr, range(32, 127)))


class Pattern(Struct, frozen=True):
    """A pattern as it was written, and what matches it."""

    text: str
    compiled: re.Pattern[str]

    def fits(self, text: str) -> bool:
        """Whether the pattern covers the whole text."""
        return self.compiled.fullmatch(text) is not None


class _Part(Struct, frozen=True):
    one: str  # what a single character must be
    times: str

    @property
    def varies(self) -> bool:
        return self.times != "" and not re.fullmatch(r"\{[0-9]+\}", self.times)

    @property
    def may_be_missing(self) -> bool:
        return self.times in ("?", "*") or re.match(r"\{0+[,}]", self.times) is not None

    @property
    def written(self) -> str:
        """Without going back: a part that varies takes all it can, and keeps it."""
        return self.one + self.times + ("+" if self.varies else "")


def pattern(text: str) -> Pattern:
    """Compile a pattern. Raises ValueError with what is wrong."""
    if len(text) > LONGEST:
        raise ValueError(f"a pattern has at most {LONGEST} characters")
    alternatives = tuple(_alternatives(text))
    for parts in alternatives:
        _unambiguous(parts)
    try:
        compiled = re.compile("|".join("".join(part.written for part in parts) for parts in alternatives))
    except re.error as error:
        raise ValueError(f"the pattern does not compile: {error.msg}") from None
    return Pattern(text, compiled)


def _alternatives(text: str) -> Iterator[tuple[_Part, ...]]:
    parts: list[_Part] = []
    at = 0
    while at < len(text):
        if text[at] == "|":
            yield tuple(parts)
            parts, at = [], at + 1
            continue
        found = _PART.match(text, at)
        if not found:
            raise ValueError(f"{text[at : at + 12]!r} cannot be in a pattern: {_MADE_OF}")
        if found[1].startswith("[") and _DOUBLED.search(found[1]):
            raise ValueError(f"{found[1]} has a sign twice: put a backslash before the second")
        parts.append(_Part(found[1], found[2] or ""))
        at = found.end()
    yield tuple(parts)


def _unambiguous(parts: Sequence[_Part]) -> None:
    for n, part in enumerate(parts):
        if not part.varies:
            continue
        for after in parts[n + 1 :]:
            if both := _shared(part, after):
                raise ValueError(
                    f"{part.one}{part.times} and {after.one} both fit {both!r}: what follows a part that may "
                    "come more or less often must start with another character"
                )
            if not after.may_be_missing:
                break


def _shared(first: _Part, second: _Part) -> str:
    """A character that both fit, or ""."""
    try:
        one, other = re.compile(first.one), re.compile(second.one)
    except re.error:
        return ""  # said when the whole is compiled
    return next((sign for sign in _ASCII if one.match(sign) and other.match(sign)), "")
