"""What every codec is: the two-way rule between a written cell and a model value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from msgspec import Struct

from cfgaudit.model.value import Scalar, Value, spoken

# A packed cell gives several values, by field name; every other cell gives one.
Fields = Mapping[str, Value]


class Misfit(Exception):
    """A cell that the codec cannot read, or a value it cannot write.

    ``kind`` is "word" (not among the words or bits declared) or "form" (not a number, not a pin …).
    """

    def __init__(self, why: str, kind: str = "form") -> None:
        super().__init__(why)
        self.why = why
        self.kind = kind


class Codec(Protocol):
    """Reads a cell's text into a value and writes the value back, exactly."""

    def read(self, text: str) -> Value | Fields:
        """The value a text stands for. Raises Misfit."""
        ...

    def write(self, value: Value | Fields) -> str:
        """The text for a value; what it gives, ``read`` reads back. Raises Misfit."""
        ...

    def parse(self, key: str) -> Scalar:
        """The value that a path segment stands for: ``"3"`` → 3 where the cell holds integers.

        Raises Misfit.
        """
        ...


class Range(Struct, frozen=True):
    """The lowest and the highest number allowed, in the units of the model."""

    low: float = float("-inf")
    high: float = float("inf")

    def outside(self, value: Value) -> str:
        """What is wrong with a number out of range, or ""; of a list, with the first such number."""
        if isinstance(value, tuple):
            return next(
                (f"holds {spoken(one)}, which {wrong}" for one in value if (wrong := self.outside(one))), ""
            )
        if isinstance(value, bool | str) or self.low <= value <= self.high:
            return ""
        return f"is outside {spoken(self.low)} to {spoken(self.high)}"


ANY = Range()
