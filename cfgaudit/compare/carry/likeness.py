"""What a setting that is gone may be called now: guesses from names and values, for a person to judge."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher

from msgspec import Struct

from cfgaudit.compare.carry.fate import Proposal
from cfgaudit.compare.carry.three import Triple, alike
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Setting, Whole
from cfgaudit.model.value import spoken

LEAST = 0.55  # below this a guess is no better than none
MOST = 2  # guesses for one setting
LOOKED_AT = 60  # candidates whose names are compared letter by letter

_WORD = re.compile(r"[a-z]+|[0-9]+")


class Newcomer(Struct, frozen=True):
    """A setting that the new firmware has and the old one had not."""

    setting: Setting
    seat: Seat
    words: frozenset[str]


def newcomers(triples: Iterable[Triple]) -> tuple[Newcomer, ...]:
    """Those among the settings that the new firmware alone tells."""
    return tuple(
        Newcomer(one.new, one.seat, _words(one.new))
        for one in triples
        if isinstance(one.new, Setting)
        and isinstance(one.seat, Seat)
        and not isinstance(one.new.value, Whole)
    )


def proposals(gone: Triple, among: tuple[Newcomer, ...]) -> tuple[Proposal, ...]:
    """The likeliest successors of a setting, likeliest first.

    A successor takes the builder's value. What speaks for it: a like name, the same section, the same
    unit and range, and that the firmware sets it to what it set the old one to.
    """
    mine = gone.mine
    if not isinstance(mine, Setting) or isinstance(mine.value, Whole):
        return ()
    words = _words(mine)
    near = sorted(among, key=lambda one: -len(words & one.words))[:LOOKED_AT]
    found = [made for one in near for made in _proposal(gone, mine, words, one)]
    found.sort(key=lambda one: -one.likeness)
    return tuple(found[:MOST])


def _proposal(gone: Triple, mine: Setting, words: frozenset[str], one: Newcomer) -> Iterator[Proposal]:
    there = one.setting
    if one.seat.wrong(mine.value) or type(there.value) is not type(mine.value):
        return
    cell, other = mine.form.cells[mine.cell], there.form.cells[there.cell]
    names = SequenceMatcher(None, _name(mine), _name(there)).ratio()
    same_place = there.slot[0] == mine.slot[0]
    same_kind = cell.codec == other.codec and cell.range == other.range
    same_start = alike(gone.old, there)
    likeness = 0.55 * names + 0.15 * same_place + 0.15 * same_kind + 0.15 * same_start
    if likeness < LEAST or not (words & one.words or same_start):
        return
    why = (
        ("a like name", names >= 0.6),
        ("the same section", same_place and bool(mine.slot[0])),
        ("the same unit and range", same_kind),
        (f"it comes with {spoken(there.value)}, as the old one did", same_start and not there.private),
    )
    yield Proposal(there, one.seat, tuple(text for text, holds in why if holds), round(likeness, 2))


def _name(one: Setting) -> str:
    return one.form.name or one.label


def _words(one: Setting) -> frozenset[str]:
    return frozenset(_WORD.findall(one.label.lower()))
