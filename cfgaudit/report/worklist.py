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
    """A finding or change by its number in the list.

    ``text`` is "" where it has been told before; ``where`` are its rule and its places.
    """

    number: int
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
            made.append(Item(f"{stage.number}.{n}", step, _reasons(step.calls, numbers)))
        yield stage, tuple(made)


def _reasons(calls: Iterable[Call], numbers: dict[Call, int]) -> tuple[Reason, ...]:
    """By their numbers; those that are told for the first time get the next ones."""
    known = len(numbers)
    numbered = sorted(((numbers.setdefault(call, len(numbers) + 1), call) for call in calls), key=_first)
    return tuple(_told(number, call) if number > known else _again(number, call) for number, call in numbered)


def _first(pair: tuple[int, Call]) -> int:
    return pair[0]


def _told(number: int, call: Call) -> Reason:
    shown = [str(origin) for origin in call.origins[:PLACES_MOST]]
    more = len(call.origins) - len(shown)
    places = ", ".join(shown) + (f" and {more} more" if more > 0 else "")
    rule = call.name if call.rules else ""  # a change's text begins with its name
    return Reason(number, call.text, " · ".join(filter(None, (rule, places))))


def _again(number: int, call: Call) -> Reason:
    """In short: the rule, and the lines in each file."""
    lines: dict[str, list[str]] = {}
    for origin in call.origins[:PLACES_MOST]:
        if isinstance(origin, Place):
            lines.setdefault(origin.file, []).append(str(origin.line))
    places = [f"{re.split(_SLASH, file)[-1]}:{','.join(dict.fromkeys(some))}" for file, some in lines.items()]
    return Reason(number, "", " · ".join((call.name, *places)))


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
        yield "What changed is not judged here: an audit of the later dump says whether it fits the build."
    yield "One step at a time, in this order. What does not come out right is mended before the next step."
