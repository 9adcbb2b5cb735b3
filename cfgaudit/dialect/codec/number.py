"""Numbers: whole ones, with an offset or another base, and scaled ones."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.model.value import Scalar, Value

_WHOLE = {10: re.compile(r"[+-]?[0-9]{1,18}"), 16: re.compile(r"0[xX][0-9A-Fa-f]{1,15}")}
_DECIMAL = re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,9})?")


def whole(text: str, base: int = 10) -> int:
    """The integer a text stands for, in decimal or, where the dialect says so, 0x-hexadecimal."""
    if not _WHOLE[base].fullmatch(text):
        shape = "a whole number" if base == 10 else "a hexadecimal number such as 0x1F"
        raise Misfit(f"is not {shape}")
    return int(text, base)


def number(value: object) -> int | float:
    """A value that must be a number (a boolean is none)."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Misfit("is not a number")
    return value


@dataclass(frozen=True, slots=True)
class Integer:
    """``model = written + offset``; written in decimal or as 0x-hexadecimal."""

    offset: int = 0
    base: int = 10

    def read(self, text: str) -> int:
        """See Codec."""
        return whole(text, self.base) + self.offset

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        plain = number(value)
        if plain != int(plain):
            raise Misfit("is not a whole number")
        written = int(plain) - self.offset
        if self.base == 16:
            if written < 0:
                raise Misfit("is negative, which hexadecimal cannot say")
            return f"0x{written:X}"
        return str(written)

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return whole(key)


@dataclass(frozen=True, slots=True)
class Scaled:
    """``model = written × by``; written with ``places`` decimals. Decimal arithmetic, so 330 × 0.01 is 3.3."""

    by: Decimal
    places: int = 0

    def read(self, text: str) -> float:
        """See Codec."""
        if not _DECIMAL.fullmatch(text) or (self.places == 0 and "." in text):
            raise Misfit("is not a whole number" if self.places == 0 else "is not a number")
        return float(Decimal(text) * self.by)

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        exact = Decimal(repr(float(number(value)))) / self.by
        written = exact.quantize(Decimal(1).scaleb(-self.places))
        if abs(exact - written) > Decimal("1e-9"):
            raise Misfit(f"is finer than the steps of {self.by.scaleb(-self.places).normalize():f}")
        return f"{written:f}"

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return float(key)
