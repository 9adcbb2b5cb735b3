"""Several values in one number: adjacent bits, bits apart, one bit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.teach.coding import Coding, Told, bits_of, flipped, integer
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Value

FIELD_MOST = 32  # bits of a packed number


class Field(Struct, frozen=True):
    """Adjacent bits of an integer: from ``low`` to somewhere between ``least`` and ``most``."""

    low: int
    least: int
    most: int
    base: int = 10
    points: tuple[int, ...] = ()  # values that were told

    @property
    def weak(self) -> bool:
        """See Coding."""
        return len(self.points) < 2

    @property
    def simple(self) -> int:
        """See Coding."""
        return 2 + self.low

    @property
    def positions(self) -> tuple[int, ...]:
        """The bits, lowest first."""
        return tuple(range(self.low, self.most + 1))

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        least, most = self.least, self.most
        before, after = integer(told.before, self.base), integer(told.after, self.base)
        if told.alone and not isinstance(before, Untold) and not isinstance(after, Untold):
            moved = bits_of(before ^ after)
            if min(moved, default=self.low) < self.low:
                return
            least = max(least, *moved) if moved else least
        points = set(self.points)
        for text, value in told.points:
            whole = integer(text, self.base)
            if isinstance(whole, Untold) or not isinstance(value, int) or value < 0:
                return
            rest = whole >> self.low
            if rest & ((1 << value.bit_length()) - 1) != value:
                return
            least = max(least, self.low + value.bit_length() - 1)
            above = bits_of((rest ^ value) << self.low)
            most = min(most, min(above, default=most + 1) - 1)
            points.add(value)
        if least <= most:
            yield Field(self.low, least, most, self.base, tuple(sorted(points)))

    def untouched(self, before: str, after: str) -> Iterator[Field]:
        """The field after a change that was none of its own."""
        one, other = integer(before, self.base), integer(after, self.base)
        if isinstance(one, Untold) or isinstance(other, Untold):
            return
        above = [bit for bit in bits_of(one ^ other) if bit >= self.low]
        most = min(self.most, min(above, default=self.most + 1) - 1)
        if self.least <= most:
            yield Field(self.low, self.least, most, self.base, self.points)

    def below(self, bit: int) -> Field:
        """The field, ending below a bit that is another's."""
        return Field(self.low, self.least, max(self.least, min(self.most, bit - 1)), self.base, self.points)

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = integer(text, self.base)
        if isinstance(whole, Untold):
            return UNTOLD
        return whole >> self.low & ((1 << (self.most - self.low + 1)) - 1)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        whole = integer(text, self.base)
        if isinstance(whole, Untold) or not isinstance(fact.value, int):
            return "?"
        own = ((1 << (self.most - self.low + 1)) - 1) << self.low
        return str(whole & ~own | fact.value << self.low)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding. The field's own part of a packed cell."""
        return {"bits": ranges(self.positions)}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bits {self.low} to {self.most} of a number"


class Scattered(Struct, frozen=True):
    """Bits of an integer that are not adjacent: for each bit of the value those it may be."""

    places: tuple[frozenset[int], ...]
    base: int = 10
    seen: int = 0  # the bits of the value that some lesson has set

    @property
    def simple(self) -> int:
        """See Coding."""
        return 90

    @property
    def needed(self) -> tuple[frozenset[int], ...]:
        return self.places[: self.seen.bit_length()]

    @property
    def weak(self) -> bool:
        """See Coding."""
        return not self.seen or any(len(one) != 1 for one in self.needed)

    @property
    def positions(self) -> tuple[int, ...]:
        """The bits, lowest first."""
        taken: list[int] = []
        for one in self.needed:
            taken.append(min(one - set(taken), default=0))
        return tuple(taken)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        places, seen = list(self.places), self.seen
        for text, value in told.points:
            whole = integer(text, self.base)
            if isinstance(whole, Untold) or not isinstance(value, int) or not 0 <= value < 1 << len(places):
                return
            seen |= value
            places = [
                frozenset(p for p in one if (whole >> p & 1) == (value >> n & 1))
                for n, one in enumerate(places)
            ]
        made = Scattered(tuple(_narrowed(places)), self.base, seen)
        if all(made.needed) and len(set(made.positions)) == len(made.positions):
            yield made

    def untouched(self, before: str, after: str) -> Iterator[Scattered]:
        """The field after a change that was none of its own."""
        one, other = integer(before, self.base), integer(after, self.base)
        if isinstance(one, Untold) or isinstance(other, Untold):
            return
        made = Scattered(tuple(each - bits_of(one ^ other) for each in self.places), self.base, self.seen)
        if all(made.needed):
            yield made

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = integer(text, self.base)
        if isinstance(whole, Untold):
            return UNTOLD
        return sum((whole >> bit & 1) << n for n, bit in enumerate(self.positions))

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return f"bits {ranges(self.positions)}"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"bits": ranges(self.positions)}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bits {ranges(self.positions)} of a number"


def _narrowed(places: Sequence[frozenset[int]]) -> Iterator[frozenset[int]]:
    """A bit that one place of the value must have is no other's."""
    sure = [next(iter(one)) for one in places if len(one) == 1]
    for one in places:
        yield one if len(one) == 1 else one - set(sure)


def ranges(bits: Sequence[int]) -> str:
    parts: list[list[int]] = []
    for bit in bits:
        if parts and parts[-1][-1] == bit - 1:
            parts[-1].append(bit)
        else:
            parts.append([bit])
    return ",".join(str(one[0]) if len(one) == 1 else f"{one[0]}-{one[-1]}" for one in parts)


class Bit(Struct, frozen=True):
    """One bit of an integer: yes or no, perhaps the other way round."""

    low: int
    clear: bool  # the bit is 0 for yes
    base: int = 10
    weak: bool = False

    @property
    def simple(self) -> int:
        """See Coding."""
        return 2 + self.low

    @property
    def positions(self) -> tuple[int, ...]:
        """The bit."""
        return (self.low,)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        before, after = integer(told.before, self.base), integer(told.after, self.base)
        both = not isinstance(before, Untold) and not isinstance(after, Untold)
        if told.alone and both and flipped(before, after) != 1 << self.low:
            return
        if all(self.read(text) == value for text, value in told.points):
            yield self

    def untouched(self, before: str, after: str) -> Iterator[Bit]:
        """The bit after a change that was none of its own."""
        if self.read(before) == self.read(after):
            yield self

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = integer(text, self.base)
        return whole if isinstance(whole, Untold) else (whole >> self.low & 1 == 1) is not self.clear

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        whole = integer(text, self.base)
        if isinstance(whole, Untold):
            return "?"
        on = (fact.value is True) is not self.clear
        return str(whole | 1 << self.low if on else whole & ~(1 << self.low))

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        flag = {"on": 0, "off": 1} if self.clear else None
        return {"bits": ranges(self.positions), "flag": flag}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bit {self.low} of a number"
