"""Numbers: whole ones, with an offset or another base, and scaled ones."""

from __future__ import annotations

import math
import re
from decimal import Decimal, InvalidOperation

from msgspec import Struct

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
    """A value that must be a finite number (a boolean is none)."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Misfit("is not a number")
    return value


def figure(integer: int, base: int = 10) -> str:
    """An integer as it is written: decimal or 0x-hexadecimal, no longer than can be read back."""
    if base == 16 and integer < 0:
        raise Misfit("is negative, which hexadecimal cannot say")
    text = f"0x{integer:X}" if base == 16 else str(integer)
    if not _WHOLE[base].fullmatch(text):
        raise Misfit("is too large to write")
    return text


class Integer(Struct, frozen=True):
    """``model = written × by + offset``; written in decimal or as 0x-hexadecimal."""

    offset: int = 0
    base: int = 10
    by: int = 1

    def read(self, text: str) -> int:
        """See Codec."""
        return whole(text, self.base) * self.by + self.offset

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        plain = number(value)
        if plain != int(plain):
            raise Misfit("is not a whole number")
        steps, over = divmod(int(plain) - self.offset, self.by)
        if over:
            raise Misfit(f"is not among the steps of {self.by} from {self.offset}")
        return figure(steps, self.base)

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return whole(key)


class Scaled(Struct, frozen=True):
    """``model = written × by``; written with ``places`` decimals.

    The arithmetic is decimal, so 330 × 0.01 is 3.3. Where the steps are whole, so are the values:
    1152 × 100 is the integer 115200.
    """

    by: Decimal
    places: int = 0

    def read(self, text: str) -> float:
        """See Codec."""
        if not _DECIMAL.fullmatch(text) or (self.places == 0 and "." in text):
            raise Misfit("is not a whole number" if self.places == 0 else "is not a number")
        exact = Decimal(text) * self.by
        step = self.by.scaleb(-self.places)
        return int(exact) if step == int(step) and exact == int(exact) else float(exact)

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        exact = Decimal(repr(float(number(value)))) / self.by
        try:
            written = exact.quantize(Decimal(1).scaleb(-self.places)) + 0  # + 0: no minus before a zero
        except InvalidOperation:
            raise Misfit("is too large to write") from None
        if abs(exact - written) > Decimal("1e-9"):
            steps = (self.by.scaleb(-self.places)).normalize()
            raise Misfit(f"is finer than the steps of {steps:f}")
        text = f"{written:f}"
        if not _DECIMAL.fullmatch(text):
            raise Misfit("is too large to write")
        return text

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is a scaled number: it cannot stand in a path")
