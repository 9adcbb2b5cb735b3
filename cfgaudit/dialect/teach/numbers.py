"""Numbers by a rule."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.teach.coding import SIGNED, WRITTEN, Coding, Told, integer
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Value


class Ruled(Struct, frozen=True):
    """A number by a rule: ``model = written × by``, or ``written + offset``."""

    by: Decimal
    offset: int = 0
    places: int = 0  # decimals that are written
    base: int = 10
    points: tuple[tuple[str, Decimal], ...] = ()

    @property
    def simple(self) -> int:
        """See Coding."""
        return 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        for text in (told.before, told.after):
            if isinstance(text, str) and isinstance(self.read(text), Untold):
                return
        points = dict(self.points)
        for text, value in told.points:
            read = self.read(text)
            if isinstance(value, bool | str | tuple) or isinstance(read, Untold):
                return
            if Decimal(str(read)) != Decimal(str(value)):
                return
            points[text] = Decimal(str(value))
        yield Ruled(self.by, self.offset, self.places, self.base, tuple(sorted(points.items())))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        if self.base == 16:
            whole = integer(text, 16)
            return whole if isinstance(whole, Untold) else whole + self.offset
        found = WRITTEN.fullmatch(text)
        if not (SIGNED.fullmatch(text) if not self.places else found and len(found[1]) == self.places):
            return UNTOLD
        value = Decimal(text) * self.by + self.offset
        return int(value) if value == int(value) else float(value)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        if isinstance(fact.value, bool | str | tuple):
            return "?"
        written = (Decimal(str(fact.value)) - self.offset) / self.by
        if self.base == 16:
            return f"0x{int(written):X}"
        return f"{written:.{self.places}f}"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        if self.places:
            return {"decimal": {"by": _plain(self.by), "places": self.places}}
        if self.by != 1:
            return {"decimal": _plain(self.by)}
        made = {"offset": self.offset} if self.offset else {}
        return {"integer": made | ({"base": 16} if self.base == 16 else {})}

    @property
    def weak(self) -> bool:
        """See Coding. Two points make a rule, or one of which two digits and more are the same.

        Small numbers that are not the value itself may be places in a table: there it takes three.
        """
        if any(_same_digits(text, value) for text, value in self.points if not self.offset):
            return False
        small = all(re.fullmatch(r"[0-9]{1,2}", text) for text, _ in self.points)
        itself = self.by == 1 and not self.offset
        return len(self.points) < (3 if small and not itself and not self.places else 2)

    @property
    def said(self) -> str:
        """See Coding."""
        if self.offset:
            return f"a whole number and {self.offset}"
        return f"a number times {self.by.normalize():f}" if self.by != 1 else "the number itself"


def _plain(number: Decimal) -> int | float:
    return int(number) if number == int(number) else float(number)


def _same_digits(text: str, value: Decimal) -> bool:
    digits = [re.sub(r"[^0-9]", "", one).strip("0") for one in (text, f"{value:f}")]
    return digits[0] == digits[1] and len(digits[0]) > 1
