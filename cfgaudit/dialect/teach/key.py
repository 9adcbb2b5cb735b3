"""Keys: which line of its kind a line is."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from functools import cached_property
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.teach.coding import SIGNED
from cfgaudit.dialect.teach.fact import UNTOLD, Untold
from cfgaudit.dialect.teach.own import Own

_SAID_MOST = 6
NUMBER_MOST = 255  # the largest number by which a firmware calls a port, an element, a mode


class Key(Struct, frozen=True, dict=True):
    """The cell that says a segment of the path; "" if the kind of line alone does.

    ``rule`` is a codec of the dialect's own, which says all of them.
    """

    cell: str
    known: tuple[tuple[str, str], ...] = ()
    rule: Own | None = None

    def learn(self, text: str, key: str) -> Iterator[Key]:
        """The key with one more line told of, if it agrees."""
        if self.rule and str(self.rule.read(text)) != key:
            return
        if not self.cell and self.known and self.known[0][1] != key:
            return
        if (_is_figure(text) and not key.isdecimal()) or (key.isdecimal() and not _may_count(text, int(key))):
            return
        told, back = dict(self.known), {one: other for other, one in self.known}
        if told.get(text, key) == key and (not self.cell or back.get(key, text) == text):
            yield Key(self.cell, tuple(sorted({**told, text: key}.items())), self.rule)

    def agrees(self, other: Key) -> bool:
        """Whether two keys of one cell call no line by two names, and no two lines by one."""
        if self.rule and other.rule:
            return self.rule == other.rule
        if self.rule or other.rule:
            ruled, told = (self, other) if self.rule else (other, self)
            return all(ruled.read(text) == segment for text, segment in told.known)
        mine, back = self._told, {segment: text for text, segment in self.known}
        return all(
            mine.get(text, segment) == segment and back.get(segment, text) == text
            for text, segment in other.known
        )

    @cached_property
    def _told(self) -> dict[str, str]:
        return dict(self.known)

    @property
    def said(self) -> str:
        """What the key is known to say, the first few: `` (4 is UART5, 6 is UART7)``."""
        some = ", ".join(f"{text} is {segment}" for text, segment in self.known[:_SAID_MOST] if text)
        more = " …" if len(self.known) > _SAID_MOST else ""
        return f" ({some}{more})" if some else ""

    @cached_property
    def offset(self) -> int | Untold:
        """Keys that are numbers: what to add to the written number."""
        pairs = [(text, key) for text, key in self.known if SIGNED.fullmatch(text) and key.isdecimal()]
        steps = {int(key) - int(text) for text, key in pairs}
        if len(pairs) == len(self.known) and len(steps) == 1 and steps <= {0, 1, -1}:
            return next(iter(steps))
        return UNTOLD

    @cached_property
    def stems(self) -> tuple[str, str, int] | Untold:
        """What stands before the numbers of text and key, and the step between the numbers.

        Told by two lines at the least: a table of the firmware's own could say one by chance.
        """
        found = [(_stem(text), _stem(key)) for text, key in self.known]
        steps = {(a[0], b[0], b[1] - a[1]) for a, b in found if a[1] >= 0 and b[1] >= 0}
        if len(self.known) > 1 and len(steps) == 1 and len(found) == sum(a[1] >= 0 <= b[1] for a, b in found):
            made = next(iter(steps))
            return made if made[2] in (0, 1) else UNTOLD
        return UNTOLD

    def read(self, text: str) -> str | Untold:
        """The segment that a cell's text stands for."""
        if not self.cell:
            return self.known[0][1]
        if text in self._told:
            return self._told[text]
        if self.rule:
            said = self.rule.read(text)
            return said if isinstance(said, Untold) else str(said)
        offset, stems = self.offset, self.stems
        if not isinstance(offset, Untold) and SIGNED.fullmatch(text):
            return str(int(text) + offset)
        if not isinstance(stems, Untold):
            stem, number = _stem(text)
            if stem == stems[0] and number >= 0:
                return f"{stems[1]}{number + stems[2]}"
        return UNTOLD

    def spec(self, texts: Collection[str]) -> dict[str, Any]:
        """The key's codec, with the texts of the dumps that it can say."""
        offset = self.offset
        if not isinstance(offset, Untold):
            return {"integer": {"offset": offset} if offset else {}}
        words = dict(self.known)
        for text in sorted(texts, key=lambda one: (len(one), one)):
            key = self.read(text)
            if not isinstance(key, Untold) and key not in words.values():
                words[text] = key
        return {"words": words}


def _is_figure(text: str) -> bool:
    """Whether a text is a number too large to stand for one of a kind, such as a pulse or a rate."""
    return SIGNED.fullmatch(text) is not None and abs(int(text)) > NUMBER_MOST


def _may_count(text: str, number: int) -> bool:
    """Whether a text may say a number of the model's: it holds it, counted from 0 or 1, or is a letter."""
    written = int(text) if SIGNED.fullmatch(text) else _stem(text)[1]
    return abs(written - number) <= 1 if written >= 0 else len(text) == 1


def _stem(text: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.*?)([0-9]{1,4})", text)
    return (found[1], int(found[2])) if found and str(int(found[2])) == found[2] else (text, -1)
