"""The chip of a craft: what the library has of it, and what the build sheet declares besides."""

from __future__ import annotations

from cfgaudit.derive.mcu.chip import Chip, Lane, lane
from cfgaudit.derive.mcu.library import chip as from_library
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.motors import pin as pin_name
from cfgaudit.derive.tree import Tree, branch, word, words

_SHEET = "the build sheet"


def chip_of(build: Tree) -> Chip | Missing:
    """The chip that the sheet names, with what it declares of pins and requests instead of the library."""
    name = word(build, "board", "chip")
    known = from_library(name) if name else None
    pins, channels = _pins(build), _channels(build)
    if known is None and not pins and not channels:
        if not name:
            return Missing(("build.board.chip",))
        where = "its data sheet says what to write under board.pins and board.dma.requests"
        return Missing(("build.board.chip",), f"no list of chips here has {name}: {where}")
    if known is None:
        return Chip(name or "chip", _SHEET, pins or None, channels or None)
    source = f"{known.source}, and {_SHEET}" if pins or channels else known.source
    return Chip(
        known.name,
        source,
        {**(known.pins or {}), **pins},
        channels or known.channels,
        known.ports,
        known.whole,
    )


def _pins(build: Tree) -> dict[str, tuple[Lane, ...]]:
    """``board.pins``: ``{PB0: [TIM3_CH3]}``."""
    declared = branch(build, "board", "pins")
    return {
        pin_name(pin): tuple(sorted(made for one in words(declared, pin) if (made := lane(one))))
        for pin in declared
    }


def _channels(build: Tree) -> dict[str, tuple[str, ...]]:
    """``board.dma.requests``: ``{TIM3_CH3: [1/7]}``."""
    declared = branch(build, "board", "dma", "requests")
    return {request: words(declared, request) for request in declared}
