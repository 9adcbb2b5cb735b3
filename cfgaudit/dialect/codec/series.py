"""Lists: several values in one cell or in all the cells that are left."""

from __future__ import annotations

from dataclasses import dataclass

from cfgaudit.dialect.codec.codec import Codec, Fields, Misfit
from cfgaudit.model.value import Scalar, Value


@dataclass(frozen=True, slots=True)
class Series:
    """Values of one kind between separators; an empty list has a word of its own."""

    of: Codec
    separator: str = ""  # "" is blanks
    empty: str = ""

    def read(self, text: str) -> tuple[Scalar, ...]:
        """See Codec."""
        if text.strip() == self.empty:
            return ()
        parts = text.split(self.separator) if self.separator else text.split()
        return tuple(_single(self.of.read(part.strip())) for part in parts)

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if not isinstance(value, tuple):
            raise Misfit("is not a list")
        joint = f"{self.separator} " if self.separator else " "
        return joint.join(self.of.write(one) for one in value) or self.empty

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is a list: it cannot stand in a path")


def _single(value: Value | Fields) -> Scalar:
    if isinstance(value, bool | int | float | str):
        return value
    raise Misfit("holds a list within a list")
