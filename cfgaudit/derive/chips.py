"""What the name on a chip tells: its line of chips, and the serial ports that line has.

The ports are those of the largest package; smaller ones bring out fewer, which is the board's to
say. Source: the device list modm-devices 0.13.1, drawn from the vendor's own data.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

# Makers' prefixes; a dump often leaves them out.
_NAME = re.compile(r"(STM32|AT32|APM32|GD32)?([A-Z][0-9][0-9X]{0,2})")


def _uarts(*numbers: int, low_power: bool = False) -> frozenset[str]:
    return frozenset({*(f"UART{number}" for number in numbers), *(("LPUART1",) if low_power else ())})


_SIX = _uarts(*range(1, 7))
_EIGHT = _uarts(*range(1, 9))

_PORTS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "F303": _uarts(*range(1, 6)),
        "F401": _uarts(1, 2, 6),
        "F405": _SIX,
        "F407": _SIX,
        "F411": _uarts(1, 2, 6),
        "F427": _EIGHT,
        "F446": _SIX,
        "F722": _EIGHT,
        "F745": _EIGHT,
        "F765": _EIGHT,
        "G431": _uarts(*range(1, 5), low_power=True),
        "G474": _uarts(*range(1, 6), low_power=True),
        "H723": _uarts(*range(1, 11), low_power=True),
        "H743": _uarts(*range(1, 9), low_power=True),
        "H750": _uarts(*range(1, 9), low_power=True),
    }
)


def line_of(chip: str) -> tuple[str, str]:
    """Maker's prefix and line of a chip's name: ``STM32F405RGT6`` → ``("STM32", "F405")``.

    A name of another form comes back whole, without a prefix: ``("", "RP2040")``.
    """
    plain = re.sub(r"[^A-Z0-9]", "", chip.upper())
    match = _NAME.match(plain)
    return (match[1] or "", match[2]) if match else ("", plain)


def agree(one: str, other: str) -> bool:
    """Whether two names can mean the same chip: ``STM32F405RGT6``, ``F40x``, ``stm32f4``."""
    (maker, line), (other_maker, other_line) = line_of(one), line_of(other)
    return (not maker or not other_maker or maker == other_maker) and all(
        mine == theirs or "X" in (mine, theirs) for mine, theirs in zip(line, other_line, strict=False)
    )


def ports_of(chip: str) -> frozenset[str] | None:
    """The serial ports of a chip, or None for a line that the table does not have."""
    maker, line = line_of(chip)
    return _PORTS.get(line) if maker in ("", "STM32") else None
