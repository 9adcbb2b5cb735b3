"""What the name on a chip tells: its maker's prefix and its line of chips."""

from __future__ import annotations

import re

# Makers' prefixes; a dump often leaves them out.
_NAME = re.compile(r"(STM32|AT32|APM32|GD32)?([A-Z][0-9][0-9X]{0,2})")


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
