"""Figures about the chip's timers and DMA: section ``mcu`` of what rules see as ``derived``.

::

    chip                the chip's name, as its maker writes it
    output.N            every output that needs a timer:
      name              "motor 3 on PC8"
      pin
      lanes             the timers' channels that the pin has: "TIM3_CH3"
      set               what the dump names: "TIM3_CH3", "TIM3"; "" if nothing
      fits              whether the pin has what the dump names
      alternate         the pin's function number for it, as the dump has it; -1 if it does not say
      alternates        the function numbers that lead to it
      listens           false on a complementary channel, which cannot hear an answer
      dma               the DMA channel that the dump names, or ""
      dma_able          the DMA channels that can feed it there
    timers              can all outputs have timers of their own rate?
      fits, clash       the names of the fewest that cannot
      outputs, pins     those of them that are outputs: their ids and pins
      declared          where the sheet speaks of the first of the others, as a path below it
    dma                 can all outputs, ports and the log be served by DMA at once?
      fits, clash, outputs, pins, declared    likewise
      able              the DMA channels that they compete for
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from cfgaudit.derive.mcu.chip import Chip
from cfgaudit.derive.mcu.declared import chip_of
from cfgaudit.derive.mcu.solve import Answer, Clash, Task, Undecided, solve
from cfgaudit.derive.mcu.uses import Output, Traffic, outputs, traffic, untold
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree

OUTPUTS_MOST = 64  # more than any chip has channels of timers


class Uses(Struct, frozen=True):
    """All that runs at once on a chip, and whether it can."""

    chip: Chip
    outputs: tuple[Output, ...]
    traffic: tuple[Traffic, ...]
    timers: Answer | Missing
    dma: Answer | Missing

    def able(self, names: Sequence[str]) -> tuple[str, ...]:
        """The DMA channels that the named ones may have."""
        requests = [one.request for one in self.traffic if one.name in names]
        own = (channel for one in self.outputs if one.name in names for channel in one.dma_able)
        return tuple(sorted({*self.chip.able(requests), *own}))


def mcu(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    uses = uses_of(model, build)
    if isinstance(uses, Missing):
        return dict.fromkeys(("chip", "output", "timers", "dma"), uses)
    return {
        "chip": uses.chip.name,
        "output": {one.id: _output(one, uses.chip) for one in uses.outputs},
        "timers": _answer(uses, uses.timers),
        "dma": _answer(uses, uses.dma),
    }


def uses_of(model: Tree, build: Tree) -> Uses | Missing:
    """What runs at once, or what must be told before anything can be said of it."""
    if missing := untold(model):
        return missing
    chip = chip_of(build)
    if isinstance(chip, Missing):
        return chip
    every = tuple(outputs(model, chip))
    beside = tuple(traffic(model, build, chip))
    timed = [one.task for one in every if one.usable]  # what has no timer at all has a rule of its own
    return Uses(
        chip,
        every,
        beside,
        _solved(every, chip, lambda: solve([_without_dma(one) for one in timed], {})),
        _dma(every, beside, timed, chip),
    )


def _solved(every: Sequence[Output], chip: Chip, answer: Callable[[], Answer]) -> Answer | Missing:
    if chip.pins is None:
        return Missing(("build.board.pins",))
    if len(every) > OUTPUTS_MOST:
        return Missing(("model.outputs",), f"{len(every)} outputs are more than a chip has")
    made = answer()
    if isinstance(made, Undecided):
        return Missing(("model.pin_setup",), "there are too many choices of timers")
    return made


def _dma(
    every: Sequence[Output], beside: Sequence[Traffic], timed: Sequence[Task], chip: Chip
) -> Answer | Missing:
    channels = chip.channels
    if channels is None:
        return Missing(("build.board.dma.requests",))
    tasks = [*timed, *(one.task for one in beside if one.request in channels)]
    return _solved(every, chip, lambda: solve(tasks, channels))


def _without_dma(task: Task) -> Task:
    return Task(task.name, task.kind, task.lanes, by_dma=False)


def _output(one: Output, chip: Chip) -> Figure:
    named = f"{one.set_timer}_CH{one.set_channel}" if one.set_channel else one.set_timer
    gap = Missing(("build.board.pins",)) if chip.pins is None else None
    return {
        "name": one.name,
        "pin": one.pin,
        "lanes": gap or [lane.name for lane in one.lanes],
        "set": named,
        "fits": gap or bool(one.usable) or not one.lanes,
        "alternate": one.set_alternate,
        "alternates": gap or [lane.alternate for lane in one.usable if lane.alternate >= 0],
        "listens": gap or not one.usable or any(not lane.complementary for lane in one.usable),
        "dma": one.set_dma if one.by_dma else "",
        "dma_able": Missing(("build.board.dma.requests",)) if chip.channels is None else [*one.dma_able],
    }


def _answer(uses: Uses, answer: Answer | Missing) -> Figure:
    if isinstance(answer, Missing):
        return answer
    clash = answer.tasks if isinstance(answer, Clash) else ()
    outputs = [one for one in uses.outputs if one.name in clash]
    traffic = [one.place for one in uses.traffic if one.name in clash]
    return {
        "fits": not clash,
        "clash": [*clash],
        "pins": [one.pin for one in outputs],
        "outputs": [one.id for one in outputs],
        "declared": [*traffic[0]] if traffic else ["board", "chip"],
        "able": [*uses.able(clash)],
    }
