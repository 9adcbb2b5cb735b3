"""Port numbers: a firmware's own, which only the board can turn into the chip's names."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.codec.number import figure, whole
from cfgaudit.model.value import Scalar, Value

UNMAPPED = "PORT"  # PORT3 is the firmware's port 3 until a board says which of the chip's it is


def is_unmapped(id: str) -> bool:
    """Whether a port of the model is known by the firmware's number only."""
    return id.startswith(UNMAPPED) and id.removeprefix(UNMAPPED).isdecimal()


class Port(Struct, frozen=True):
    """The firmware's number of a serial port ↔ the chip's name of it, by the board: ``{3: "UART4"}``.

    A number that the board does not map is read as ``PORT3`` and written back from that.
    """

    numbers: Mapping[int, str] = field(default_factory=dict)

    def read(self, text: str) -> str:
        """See Codec."""
        number = whole(text)
        if number < 0:
            raise Misfit("is not the number of a port")
        return self.numbers.get(number, f"{UNMAPPED}{number}")

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        for number, id in self.numbers.items():
            if id == value:
                return figure(number)
        plain = str(value).removeprefix(UNMAPPED)
        if plain == value or not plain.isdecimal() or int(plain) in self.numbers:
            raise Misfit(f"has no number here: the build sheet says which, under board.ports.{value}.number")
        return figure(whole(plain))

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        return key
