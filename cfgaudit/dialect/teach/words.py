"""Words, flags, pins, text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.codec.pin import Pin, is_pin
from cfgaudit.dialect.teach.coding import Coding, Told
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Scalar, Value


class Table(Struct, frozen=True):
    """One word of the firmware, or a number, for each value of the model."""

    values: tuple[tuple[str, Scalar], ...] = ()
    weak: bool = False
    simple: int = 1

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        known = dict(self.values)
        for text, value in told.points:
            if isinstance(value, tuple) or known.get(text, value) != value:
                return
            known[text] = value
        yes_no = [fact.value for fact in told.facts if isinstance(fact.value, bool)]
        if yes_no and isinstance(told.before, str) and told.before != told.after:
            if known.get(told.before, not yes_no[0]) is not (not yes_no[0]):
                return
            known[told.before] = not yes_no[0]
        elif told.before != told.after and isinstance(told.before, str):
            # what was there before was another value, or it would not have changed
            had = known.get(told.before, UNTOLD)
            if not isinstance(had, Untold) and any(had == fact.value for fact in told.facts):
                return
        yield Table(tuple(sorted(known.items())))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        return dict(self.values).get(text, UNTOLD)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return next((one for one, value in self.values if value == fact.value), "another word")

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        on = [text for text, value in self.values if value is True]
        off = [text for text, value in self.values if value is False]
        if on and off and len(on) + len(off) == len(self.values):
            return {"flag": {"on": on, "off": off}}
        return {"words": dict(self.values)}

    @property
    def said(self) -> str:
        """See Coding."""
        return "one word for each value"


class Pinned(Struct, frozen=True):
    """A pin, in one of the ways that are read."""

    written: str = ""
    none: tuple[str, ...] = ()
    weak: bool = False
    simple: int = 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        written, none = self.written, set(self.none)
        for text, value in told.points:
            if value == "none":
                if is_pin(text):
                    return
                none.add(text)
            elif not is_pin(text) or Pin().read(text) != value:
                return
            else:
                written = _pin_written(text)
        for seen in (told.before, told.after):
            if isinstance(seen, str) and is_pin(seen):
                written = written or _pin_written(seen)
        yield Pinned(written, tuple(sorted(none)))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        if text in self.none:
            return "none"
        return Pin().read(text) if is_pin(text) else UNTOLD

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return str(fact.value)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"pin": self.written or None} | ({"none": list(self.none)} if self.none else {})

    @property
    def said(self) -> str:
        """See Coding."""
        return "a pin"


def _pin_written(text: str) -> str:
    found = re.fullmatch(r"([Pp]?)[A-Ka-k](_?)(0?)[0-9]+", text)
    if not found or text[:1] == "p" or text.upper() != text:
        return ""
    return f"{found[1]}{{port}}{found[2]}{{number{':02' if found[3] else ''}}}"


def _blank(text: str | Untold) -> bool:
    return isinstance(text, str) and " " in text and not text.startswith('"')


class Plain(Struct, frozen=True):
    """Text as it is, perhaps in quotes."""

    quoted: bool = False
    bare: bool = False  # blanks were seen without quotes
    weak: bool = False
    simple: int = 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        quoted = self.quoted or any(
            isinstance(t, str) and t.startswith('"') for t in (told.before, told.after)
        )
        if all(self.read(text) == value for text, value in told.points):
            yield Plain(quoted, self.bare or any(_blank(one) for one in (told.before, told.after)))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        return text[1:-1] if len(text) > 1 and text[0] == text[-1] == '"' else text

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return str(fact.value)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"text": None} | ({"quoted": self.quoted} if self.quoted or self.bare else {})

    @property
    def said(self) -> str:
        """See Coding."""
        return "the text itself"
