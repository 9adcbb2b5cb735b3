"""Timers and DMA with what they are taken from."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.mcu.chip import Chip
from cfgaudit.derive.mcu.section import Uses, uses_of
from cfgaudit.derive.mcu.solve import Answer, Clash, Place
from cfgaudit.derive.mcu.uses import Output
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table
from cfgaudit.derive.tree import Tree

_TITLE = "the chip's timers and DMA: whether everything can run at once, and one way in which it can"
_TIMER_RULES = ("chip/pin-without-timer", "chip/timer-not-on-pin", "chip/timer-shared")
_DMA_RULES = ("chip/dma-clash", "chip/dma-not-on-timer")
_GAP_SOURCE = "modm-devices, from the vendor's data, or what the build sheet declares"


def table(model: Tree, build: Tree) -> Table:
    """A timer for every output, a DMA channel for everything that runs at once."""
    uses = uses_of(model, build)
    if isinstance(uses, Missing):
        gap = Quantity("", "timers and DMA", uses, "", "", _GAP_SOURCE, (*_TIMER_RULES, *_DMA_RULES))
        return Table("mcu", _TITLE, (gap,))
    return Table("mcu", _TITLE, (*_outputs(uses), *_answer(uses, uses.timers, "timers"), *_served(uses)))


def _outputs(uses: Uses) -> Iterator[Quantity]:
    placed = {one.task: one for one in _places(uses.dma) or _places(uses.timers)}
    for one in uses.outputs:
        lane = placed[one.name].lane if one.name in placed else None
        value = lane.name if lane else "none"
        yield Quantity(one.name, "timer", value, "", _ways(one, uses.chip), uses.chip.source, _TIMER_RULES)


def _ways(one: Output, chip: Chip) -> str:
    """What the pin has, and what the dump says of it."""
    has = ", ".join(lane.name for lane in one.lanes) or "no timer"
    named = f"{one.set_timer}_CH{one.set_channel}" if one.set_channel else one.set_timer
    said = f"; the dump names {named}" if named else ""
    package = "" if chip.whole else f" on the largest package of the {chip.name}"
    return f"{one.pin} has {has}{package}{said}"


def _served(uses: Uses) -> Iterator[Quantity]:
    if not isinstance(uses.dma, tuple):
        yield from _answer(uses, uses.dma, "DMA")
        return
    for one in uses.dma:
        if one.request:
            able = (uses.chip.channels or {}).get(one.request, ())
            sum = f"{one.request} can have {_listed(able)}"
            yield Quantity(one.task, "DMA channel", one.channel, "", sum, uses.chip.source, _DMA_RULES)


def _listed(able: tuple[str, ...]) -> str:
    """The channels; where a switch leads to all of them, their number."""
    return ", ".join(able) if len(able) < 8 else f"any of {len(able)}"


def _answer(uses: Uses, answer: Answer | Missing, what: str) -> Iterator[Quantity]:
    """What clashes, or what is missing; nothing where all is well."""
    rules = _DMA_RULES if what == "DMA" else _TIMER_RULES
    if isinstance(answer, Missing):
        yield Quantity("", what, answer, "", "", uses.chip.source, rules)
    elif isinstance(answer, Clash):
        fewest = "the fewest that cannot run at once" if answer.least else "cannot run at once"
        able = f", for {', '.join(uses.able(answer.tasks))}" if what == "DMA" else ""
        sum = f"{fewest}: {', '.join(answer.tasks)}{able}"
        yield Quantity("", what, "no way", "", sum, uses.chip.source, rules)


def _places(answer: Answer | Missing) -> tuple[Place, ...]:
    return answer if isinstance(answer, tuple) else ()
