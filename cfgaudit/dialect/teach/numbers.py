"""Numbers by a rule."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.teach.coding import SIGNED, WRITTEN, Coding, Told, integer
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Scalar, Value

_POINTS_A_RULE = 3  # two points are on a line by any rule


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
        """See Coding. Two points make a rule, or one of which more than two digits are the same.

        Small numbers that are not the value itself may be places in a table: there it takes three.
        """
        alike = {text: _alike(text, value) for text, value in self.points if not self.offset}
        telling = [text for text, digits in alike.items() if digits > 1]
        others = sum(digits > 0 for digits in alike.values()) > 1
        if telling and (others or self.by == 1 or any(map(_is_long, telling))):
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


class Stepped(Struct, frozen=True):
    """A whole number counted in steps from an offset: ``model = written × by + offset``."""

    by: int
    offset: int
    points: tuple[tuple[str, Scalar], ...]
    weak: bool = False
    simple: int = 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding. It is made of lessons that are told of already, and made again by each."""
        return iter(())

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        return int(text) * self.by + self.offset if SIGNED.fullmatch(text) else UNTOLD

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        value = fact.value
        return str((value - self.offset) // self.by) if isinstance(value, int) else "?"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"integer": {"offset": self.offset, "by": self.by}}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"steps of {self.by} from {self.offset}"


def stepped(told: Mapping[str, Scalar]) -> Stepped | None:
    """The steps that three texts and values at the least agree on; None if they are no such steps."""
    points = sorted(
        (int(text), value)
        for text, value in told.items()
        if SIGNED.fullmatch(text) and isinstance(value, int) and not isinstance(value, bool)
    )
    if len(points) < len(told) or len(points) < _POINTS_A_RULE:
        return None
    (low, least), (high, most) = points[0], points[-1]
    by, over = divmod(most - least, high - low) if high > low else (0, 0)
    offset = least - low * by
    if over or by < 2 or not offset or any(text * by + offset != value for text, value in points):
        return None
    return Stepped(by, offset, tuple(told.items()))


def _plain(number: Decimal) -> int | float:
    return int(number) if number == int(number) else float(number)


def _alike(text: str, value: Decimal) -> int:
    """How many digits a text has of a value's, if it has all of them: 350 has two of 3.5."""
    written, read = (re.sub(r"[^0-9]", "", one).strip("0") for one in (text, f"{value:f}"))
    return len(written) if written == read else 0


def _is_long(text: str) -> bool:
    """Whether a text has too many digits to be like a value's by chance: 16 may be 1600 as the 16th step."""
    return len(re.sub(r"[^0-9]", "", text)) > 2
