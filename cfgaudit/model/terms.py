"""What a user says about the rules: what is accepted, what weighs otherwise, where rules of one's own are.

It is read from any file that has ``accepted`` and ``rules`` in the shape that the build sheet's schema
gives them, at any depth of it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from typing import Any

from msgspec import Struct

from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, Trail, shown
from cfgaudit.model.refusal import Refusal


class ForGood(Struct, frozen=True):
    """No last day."""


class Acceptance(Struct, frozen=True):
    """Somebody's word that findings of a rule are known and may stay.

    ``at`` is what the report prints beside the rule (``ports.UART4``), or the beginning of it up to
    one of its dots; "" stands for every finding of the rule. ``until`` is the last day on which it counts.
    """

    rule: str
    at: str
    reason: str
    until: date | ForGood
    place: Place

    def has_expired(self, today: date) -> bool:
        """Whether its last day is over."""
        return isinstance(self.until, date) and self.until < today


class LevelChange(Struct, frozen=True):
    """Another level for a rule: ``error``, ``warning``, ``note``, or ``off``."""

    rule: str
    level: str
    reason: str
    place: Place


class RuleFolder(Struct, frozen=True):
    """A folder with rules of one's own, found from where the file stands that names it."""

    path: str
    place: Place


class Terms(Struct, frozen=True):
    """All that one file says about the rules; several files' say is the sum of each."""

    accepted: tuple[Acceptance, ...] = ()
    levels: tuple[LevelChange, ...] = ()
    folders: tuple[RuleFolder, ...] = ()

    def and_then(self, nearer: Terms) -> Terms:
        """These, and what a file nearer to the craft says: its level of a rule takes the place of ours."""
        again = {change.rule for change in nearer.levels}
        levels = (*(one for one in self.levels if one.rule not in again), *nearer.levels)
        return Terms((*self.accepted, *nearer.accepted), levels, (*self.folders, *nearer.folders))


def terms_of(placed: Placed, trail: Trail = ()) -> Terms:
    """What stands under ``accepted`` and ``rules`` in the mapping at a trail, which a schema has accepted.

    Raises Refusal on a day that no calendar has.
    """
    node: Any = placed.data
    for step in trail:
        node = node[step]
    return Terms(
        tuple(_acceptances(placed, (*trail, "accepted"), node.get("accepted") or ())),
        tuple(_levels(placed, (*trail, "rules", "levels"), node.get("rules") or {})),
        tuple(_folders(placed, (*trail, "rules", "folder"), node.get("rules") or {})),
    )


def _acceptances(placed: Placed, trail: Trail, entries: Any) -> Iterator[Acceptance]:
    for n, entry in enumerate(entries):
        here = (*trail, n)
        yield Acceptance(
            rule=entry["rule"],
            at=entry.get("at", ""),
            reason=_folded(entry["reason"]),
            until=_day(placed, (*here, "until"), entry["until"]) if "until" in entry else ForGood(),
            place=placed.place(here),
        )


def _day(placed: Placed, trail: Trail, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        what = f"{'.'.join(map(str, trail))} is '{shown(text)}', which no calendar has"
        raise Refusal(
            what, "write a day that there is, for example 2027-03-01", placed.place(trail)
        ) from None


def _levels(placed: Placed, trail: Trail, rules: Any) -> Iterator[LevelChange]:
    for rule, change in (rules.get("levels") or {}).items():
        yield LevelChange(rule, change["level"], _folded(change["reason"]), placed.keys[(*trail, rule)])


def _folders(placed: Placed, trail: Trail, rules: Any) -> Iterator[RuleFolder]:
    if "folder" in rules:
        beside = os.path.dirname(placed.file)
        yield RuleFolder(os.path.join(beside, rules["folder"]), placed.place(trail))


def _folded(text: str) -> str:
    return " ".join(text.split())
