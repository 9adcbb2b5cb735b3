"""What the reports of a firmware update say of one setting: its weight, its words, where it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from cfgaudit.compare.carry.arrived import Landed
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import DOUBTFUL, SURE, Carried, Fate, Moved, Shift
from cfgaudit.compare.carry.three import NotTold, Side, Triple
from cfgaudit.compare.carry.words import doubt_of, told
from cfgaudit.compare.change import Weight
from cfgaudit.compare.difference import Difference
from cfgaudit.compare.weights import rank, weightiest
from cfgaudit.compare.words import label, labelled, step, topic_of, with_unit
from cfgaudit.dialect.setting import Held, Setting, Whole
from cfgaudit.model.model import HIDDEN, Leaf
from cfgaudit.model.path import Path
from cfgaudit.model.value import spoken
from cfgaudit.report.carry.paper import Update
from cfgaudit.report.cautions import hazards_in
from cfgaudit.report.cautions import told as told_by

_SECTIONS = {"osd": "OSD", "gnss": "GNSS"}  # of the model, where its key would not say it well
LONGEST = 200  # characters of a doubt: some reasons name all words that a firmware knows
OWN = "the firmware's own"  # settings that the model has no word for

_WORD = re.compile(r"[a-z]+|[0-9]+")


def weight_of(triple: Triple) -> Weight:
    """What a change of the setting can do."""
    sides = (triple.old, triple.mine, triple.new)
    return weightiest(path for side in sides if isinstance(side, Setting) for path in side.paths)


def section_of(triple: Triple) -> str:
    """The part of the configuration that the setting is of."""
    paths = triple.named.paths
    return _SECTIONS.get(paths[0][0], paths[0][0].replace("_", " ")) if paths else OWN


def doubtful(plan: Plan) -> tuple[Carried, ...]:
    """What a person has to decide, weightiest first; what the dump does not tell is not among it."""
    fates: list[Fate] = [one for one in DOUBTFUL if one is not Fate.UNSAID]
    found = [one for one in plan.carried if one.fate in fates]
    return tuple(sorted(found, key=lambda one: (rank(weight_of(one.triple)), fates.index(one.fate))))


def is_own(one: Carried | Moved, plan: Plan) -> bool:
    """Whether two firmwares cannot be held together here: the model has no word for it."""
    return not plan.one_firmware and not one.triple.named.paths


def of_fate(plan: Plan, *fates: Fate) -> tuple[Carried, ...]:
    """The builder's changes that come to one of these, in the order of the dump."""
    return tuple(one for one in plan.carried if one.fate in fates)


def of_shift(plan: Plan, shift: Shift) -> tuple[Moved, ...]:
    """What changes in this way without the builder, weightiest first."""
    found = [one for one in plan.moved if one.shift is shift]
    return tuple(sorted(found, key=lambda one: rank(weight_of(one.triple))))


def hurts(update: Update) -> bool:
    """Whether any of it can hurt."""
    every: tuple[Carried | Moved, ...] = (*update.plan.carried, *update.plan.moved)
    return any(weight_of(one.triple) is Weight.HURT for one in every)


def carry_hazards(update: Update) -> tuple[str, ...]:
    """The hazard words of the findings and of what changes."""
    found = [word for checked in update.checked for word in hazards_in(told_by(checked.after))]
    return (*(["propellers"] if hurts(update) and "propellers" not in found else []), *found)


def doubt_words(one: Carried, plan: Plan) -> str:
    """What is doubtful about a change, in one sentence without its end; of a long reason the beginning."""
    if one.fate is Fate.GONE and not plan.one_firmware:
        return f"{one.triple.named.label}: you had {told(one.triple.mine)}, and it has no counterpart"
    said = doubt_of(one)
    return said if len(said) <= LONGEST else f"{said[: LONGEST - 1]}…"


def nearest_words(one: Carried) -> tuple[str, ...]:
    """What may be written in place of a value that is no longer allowed."""
    return tuple(_said(one.triple.named, value) for value in one.value)


def _said(setting: Setting, value: Held) -> str:
    if setting.private:
        return HIDDEN
    return with_unit(setting.paths[0], value) if setting.paths else spoken(value)


def otherwise_words(one: Carried) -> str:
    """Under which name, in which unit or range a setting is carried over."""
    hides = one.triple.named.private and one.fate is Fate.REWRITTEN
    return "written otherwise now" if hides else one.why


def shift_words(one: Moved) -> str:
    """What a setting was and is that the builder had left alone: ``props in → out``."""
    old, new = one.triple.old, one.triple.new
    if one.shift is Shift.NEW:
        return told(new)
    if isinstance(old, NotTold) or isinstance(new, NotTold):
        return f"was {told(old)}"
    if one.triple.named.private:
        return f"another value {HIDDEN}"
    if old.paths and not isinstance(old.value, Whole) and not isinstance(new.value, Whole):
        path = old.paths[0]
        words = step(Difference(path, Leaf(old.value, old.origin), Leaf(new.value, new.origin)))
        return labelled(_beyond(one.triple.named.label, path), words)
    return f"{told(old)} → {told(new)}"


def _beyond(name: str, path: Path) -> str:
    """What the model calls a setting, as far as its name in the firmware does not say it."""
    skip = 2 if path[:2] == ("osd", "elements") else topic_of(path).skip
    words = label(path, skip).split()
    while words and words[0].isdigit():  # the row, which the name has as well
        words = words[1:]
    return "" if {*words} <= {*_WORD.findall(name)} else " ".join(words)


def missing_words(one: Landed) -> str:
    """What may have kept a change from arriving."""
    if one.carried.triple.named.private and one.carried.fate in SURE:
        return "a script without private values only names it: type it yourself"
    return one.why


def turned_out(one: Landed) -> str:
    """What came of a change that was for the builder to decide."""
    return "as you had it" if one.there else missing_words(one)


def from_words(about: Iterable[Carried | Moved], update: Update) -> Iterator[str]:
    """What of the update a finding comes from, a sentence for each setting."""
    landed = {id(one.carried): one for arrival in update.arrival for one in arrival.landed}
    for one in about:
        name = one.triple.named.label
        if isinstance(one, Moved):
            yield f"{name}: {_moved(one)}"
        elif id(one) in landed and (one.fate in SURE or landed[id(one)].there):
            there = landed[id(one)].there
            yield f"{name}: {_mine(one.triple)}" if there else f"{name}: did not arrive"
        else:
            yield f"{name}: {_fate(one)}"


def _moved(one: Moved) -> str:
    if one.shift is Shift.MOVED:
        return f"the firmware's own new value, {shift_words(one)}"
    if one.shift is Shift.NEW:
        return "a new setting, as it comes"
    return "no longer there" if one.shift is Shift.GONE else "not told by the new firmware's dump"


def _fate(one: Carried) -> str:
    if one.fate in SURE:
        return _mine(one.triple)
    if one.fate is Fate.EQUAL:
        return "as you had it, and as the firmware comes"
    if one.fate is Fate.UNSAID:
        return f"your dump does not tell it, so left as it comes{_at(one.triple.new)}"
    return f"not carried over: {one.fate.value}{_at(one.triple.mine)}"


def _mine(triple: Triple) -> str:
    return f"carried over{_at(triple.mine, 'from')}"


def _at(side: Side, word: str = "at") -> str:
    return "" if isinstance(side, NotTold) else f" {word} {side.origin}"
