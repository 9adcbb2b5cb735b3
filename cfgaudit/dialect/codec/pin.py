"""Pins of the chip, in the several ways firmwares write them."""

from __future__ import annotations

import re

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.model.value import Scalar, Value

_READ = re.compile(r"[Pp]?([A-Ka-k])_?(0?[0-9]|1[0-5])")
_PIN = re.compile(r"P([A-K])([0-9]|1[0-5])")


def is_pin(text: str) -> bool:
    """Whether a text is a pin in one of the ways that are read."""
    return _READ.fullmatch(text) is not None


class Pin(Struct, frozen=True):
    """A pin, in the model ``PB6`` or ``none``; read as B6, PB6, PB06 or PB_6, written one way.

    ``written`` is a format with the fields ``port`` (a letter) and ``number`` (an int).
    """

    written: str = "P{port}{number}"
    none: tuple[str, ...] = ("none",)

    def read(self, text: str) -> str:
        """See Codec."""
        if text in self.none:
            return "none"
        found = _READ.fullmatch(text)
        if not found:
            raise Misfit(f"is not a pin such as {self.write('PB6')}")
        return f"P{found[1].upper()}{int(found[2])}"

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if value == "none":
            return self.none[0]
        found = _PIN.fullmatch(value) if isinstance(value, str) else None
        if not found:
            raise Misfit("is not a pin")
        return self.written.format(port=found[1], number=int(found[2]))

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return key
