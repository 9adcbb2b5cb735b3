"""Codings: what a changed cell may mean. Each grows with the lessons, or is refuted by one.

A coding learns from one changed line at a time and gives every way in which it can go on; none
means that it is refuted. What a coding says of a cell that no lesson has told of is ``UNTOLD``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Protocol

from msgspec import Struct

from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Value

INTEGER = {10: re.compile(r"[0-9]{1,15}"), 16: re.compile(r"0[xX][0-9A-Fa-f]{1,13}")}
SIGNED = re.compile(r"[+-]?[0-9]{1,15}")
WRITTEN = re.compile(r"[+-]?[0-9]{1,12}\.([0-9]{1,9})")


class Told(Struct, frozen=True):
    """One cell that changed, with the facts about it. ``alone``: nothing else can have changed it."""

    before: str | Untold
    after: str | Untold
    facts: tuple[Fact, ...]
    alone: bool

    @property
    def points(self) -> Iterator[tuple[str, Value]]:
        """What is known of a text and its value."""
        for fact in self.facts:
            if fact.sign == "=" and not isinstance(self.after, Untold):
                yield self.after, fact.value
            if not isinstance(fact.was, Untold) and not isinstance(self.before, Untold):
                yield self.before, fact.was


class Coding(Protocol):
    """A way to read a cell."""

    def learn(self, told: Told) -> Iterator[Coding]:
        """Every way to go on with what a lesson tells of the cell."""
        ...

    def read(self, text: str) -> Value | Untold:
        """The value of a cell's text, if the lessons tell."""
        ...

    def predict(self, text: str, fact: Fact) -> str:
        """What the cell would be after a change: what sets this reading apart from others."""
        ...

    @property
    def spec(self) -> dict[str, Any]:
        """The codec as a dialect writes it."""
        ...

    @property
    def weak(self) -> bool:
        """Whether one lesson alone speaks for it, and by chance it may."""
        ...

    @property
    def simple(self) -> int:
        """Of readings that say the same the simplest is written: 0 is simplest."""
        ...

    @property
    def said(self) -> str:
        """The reading in a builder's words."""
        ...


def integer(text: str | Untold, base: int) -> int | Untold:
    if isinstance(text, Untold) or not INTEGER[base].fullmatch(text):
        return UNTOLD
    return int(text, base)


def flipped(before: int | Untold, after: int | Untold) -> int:
    return 0 if isinstance(before, Untold) or isinstance(after, Untold) else before ^ after


def bits_of(number: int) -> frozenset[int]:
    return frozenset(n for n in range(number.bit_length()) if number >> n & 1)
