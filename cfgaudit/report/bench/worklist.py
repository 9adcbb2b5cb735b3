"""What the bench lists have in common: numbers, opening words, and what each step is for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from msgspec import Struct

from cfgaudit.audit.bench.call import Call
from cfgaudit.audit.bench.step import Stage, Step
from cfgaudit.model.place import Place
from cfgaudit.report.paper import BenchPaper, BuildHead, DumpHead
from cfgaudit.report.words import counted, firmware_words, reading_words

_SLASH = r"[/\\]"
PLACES_MOST = 4  # places that a reason names; the audit's own report has them all


class Reason(Struct, frozen=True):
    """A finding or change by its number in the list, or several of one rule that have been told before.

    ``text`` is "" where they have been told; ``where`` are the rule and the places.
    """

    numbers: tuple[int, ...]
    text: str
    where: str


class Item(Struct, frozen=True):
    """A step by its number: stage, and place in it."""

    number: str
    step: Step
    reasons: tuple[Reason, ...]


def items(steps: Iterable[Step]) -> Iterator[tuple[Stage, tuple[Item, ...]]]:
    """The steps by stages, and the findings and changes numbered in the order of their first step."""
    numbers: dict[Call, int] = {}
    for stage, inside in groupby(steps, key=lambda step: step.stage):
        made = []
        for n, step in enumerate(inside, 1):
            made.append(Item(f"{stage.number}.{n}", step, tuple(_reasons(step.calls, numbers))))
        yield stage, tuple(made)


def _reasons(calls: Iterable[Call], numbers: dict[Call, int]) -> Iterator[Reason]:
    """Those told before by their rule and number, then those that are new, with the next numbers."""
    calls = tuple(calls)
    known = sorted((call for call in calls if call in numbers), key=numbers.__getitem__)
    by_name: dict[str, list[Call]] = {}
    for call in known:
        by_name.setdefault(call.name, []).append(call)
    for name, several in by_name.items():
        yield Reason(tuple(numbers[call] for call in several), "", " · ".join((name, *_lines(several))))
    for call in calls:
        if call not in numbers:
            numbers[call] = len(numbers) + 1
            yield Reason((numbers[call],), call.text, _places(call))


def _places(call: Call) -> str:
    shown = [str(origin) for origin in call.origins[:PLACES_MOST]]
    more = len(call.origins) - len(shown)
    places = ", ".join(shown) + (f" and {more} more" if more > 0 else "")
    rule = call.name if call.rules else ""  # a change's text begins with its name
    return " · ".join(filter(None, (rule, places)))


def _lines(calls: Iterable[Call]) -> Iterator[str]:
    """The lines of each file, in short."""
    lines: dict[str, dict[int, None]] = {}
    for call in calls:
        for origin in call.origins[:PLACES_MOST]:
            if isinstance(origin, Place):
                lines.setdefault(origin.file, {})[origin.line] = None
    for file, some in lines.items():
        yield f"{re.split(_SLASH, file)[-1]}:{','.join(map(str, some))}"


def heading(paper: BenchPaper) -> str:
    """Which craft, and with which firmware."""
    return f"{paper.build.craft or 'craft not named'}, bench list · {firmware_words(paper.dumps[-1])}"


def sources(paper: BenchPaper) -> Iterator[str]:
    """What the list was made from, with what was said of its reading."""
    for dump in paper.dumps:
        yield f"{dump.file}: {reading_words(dump)}"
    devices, motors = counted(paper.build.devices, "device"), counted(paper.build.motors, "motor")
    yield f"{paper.build.file}: {devices}, {motors}"
    heads: tuple[DumpHead | BuildHead, ...] = (*paper.dumps, paper.build)
    for head in heads:
        yield from (f"{head.file}: {note}" for note in head.notes)


def opening(paper: BenchPaper, steps: Sequence[Step]) -> Iterator[str]:
    """What kind of list it is, and how it is worked through."""
    count = counted(len(steps), "step")
    always = f"{count} that {'belongs' if len(steps) == 1 else 'belong'} to every list"
    audited = len(paper.dumps) == 1
    kind = "finding" if audited else "change"
    if paper.calls:
        yield f"{counted(paper.calls, kind)}, {count}."
    elif audited:
        yield f"Nothing was found that speaks against the build, so the list is short: {always}."
    else:
        yield f"Nothing changed, so the list is short: {always}."
    if paper.not_judged:
        lack = "judgement lacks" if paper.not_judged == 1 else "judgements lack"
        yield (f"{paper.not_judged} {lack} something (--not-judged lists what): no step here looks at that.")
    if not audited:
        yield "A comparison judges nothing: an audit of the later dump says whether it fits the build."
    yield "One step at a time, in this order. What does not come out right is mended before the next step."
