"""What becomes of a setting, as a sentence says it."""

from __future__ import annotations

from collections.abc import Iterable

from cfgaudit.compare.carry.fate import Carried, Fate, Moved
from cfgaudit.compare.carry.three import NotTold, Side
from cfgaudit.compare.words import with_unit
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.setting import Whole
from cfgaudit.model.value import spoken


def doubt_of(one: Carried) -> str:
    """What is doubtful about a change, in one sentence without its end."""
    triple = one.triple
    name, had = triple.named.label, told(triple.mine)
    if one.fate is Fate.CONFLICT:
        return f"{name}: you had {had}, it came with {told(triple.old)} and comes with {told(triple.new)} now"
    if one.fate is Fate.GONE:
        return f"{name}: you had {had}, and there is no such setting now"
    return f"{name}: you had {had}, which {one.why}"


def shift_of(one: Moved) -> str:
    """What the firmware has changed by itself, in one sentence without its end."""
    triple = one.triple
    now = f"comes with {told(triple.new)} now"
    return f"{triple.named.label}: it came with {told(triple.old)} and {now}; to have it as it was:"


def told(side: Side) -> str:
    """What a setting is set to: in the model's unit where it has one, else as it is written."""
    if isinstance(side, NotTold):
        return "nothing"
    if side.private or isinstance(side.value, Whole):
        return side.written
    if side.paths:
        return with_unit(side.paths[0], side.value)
    return spoken(side.value) if isinstance(side.value, float) else side.written


def unsaid_lines(about: Iterable[Carried], mine: Reading) -> tuple[str, ...]:
    """The lines that a builder's dump does not tell; of a scope that it does not have at all, the scope."""
    there = {entry.head for entry in mine.entries}
    names: dict[str, None] = {}
    for one in about:
        entry = one.triple.named.entry
        names[entry.label if not entry.head or entry.head in there else entry.head] = None
    return tuple(names)
