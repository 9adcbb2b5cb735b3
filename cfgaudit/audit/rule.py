"""A rule: what it goes through, what it expects, and all that a builder is told about it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from cfgaudit.audit.expression import Expression, Mention
from cfgaudit.audit.finding import Level
from cfgaudit.audit.phrase import Phrase
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, Trail
from cfgaudit.model.value import Json

_TELL = (("build.", "the build sheet"), ("model.", "the dump"), ("derived.", "figured from both"))
_FIGURE = re.compile(r"\{[^{}]*\}")


class Loop(Struct, frozen=True):
    """``device in build.devices``: a name for each entry of a list or map in turn."""

    name: str
    path: Phrase


class Wish(Struct, frozen=True):
    """A value that a model path should have: ``+`` and ``-`` add to and take from a list."""

    path: Phrase
    operator: str  # "=", "+" or "-"
    value: Phrase | Json


class Case(Struct, frozen=True):
    """A small configuration with the answer that the rule must give for it."""

    answer: str  # "holds", "fails" or "not_judged"
    model: Mapping[str, Json]
    build: Mapping[str, Json]
    reading: Mapping[str, Json]
    says: str  # a part of the finding's text, or of what is missing; "" for any
    place: Place


class Rule(Struct, frozen=True, dict=True):
    """One rule, compiled."""

    id: str
    level: Level
    title: str
    each: tuple[Loop, ...]
    needs: tuple[Phrase, ...]
    when: Expression | None
    expect: Expression
    say: Phrase
    declared: tuple[Phrase, ...]
    found: tuple[Phrase, ...]
    about: tuple[Phrase, ...]
    follows: tuple[str, ...]
    mend: tuple[Wish, ...]
    hazard: str
    why: str
    basis: str
    never_accept: str  # why nobody may accept a finding of it; "" if a builder may
    cases: tuple[Case, ...]
    vocabulary: tuple[str, ...]  # the names that its expressions may use: its own, perhaps more
    written: Placed
    route: Trail  # where in that file

    @property
    def place(self) -> Place:
        """Where the rule is written."""
        return self.written.place(self.route)

    @property
    def subject(self) -> str:
        """The folder-like first part of the id: serial, osd, motor …"""
        return self.id.partition("/")[0]

    @property
    def needed(self) -> tuple[str, ...]:
        """The paths that must be known, as the rule writes them."""
        return tuple(phrase.text for phrase in self.needs)

    @property
    def inputs(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """What must be known, by who tells it: the build sheet, the dump, what is figured from both.

        ``*`` stands for each of its kind: ``devices.*.port``.
        """
        paths = [_starred(phrase.text, self.each) for phrase in self.needs]
        told = {who: [path[len(root) :] for path in paths if path.startswith(root)] for root, who in _TELL}
        return tuple((who, tuple(dict.fromkeys(some))) for who, some in told.items() if some)

    @property
    def names(self) -> tuple[str, ...]:
        """The names that its loops bind."""
        return tuple(loop.name for loop in self.each)

    @cached_property
    def mentions(self) -> frozenset[Mention]:
        """The branches of model, build and derived figures that its expressions look at."""
        phrases = [self.say, *self.needs, *self.declared, *self.found, *self.about]
        phrases += [loop.path for loop in self.each]
        for wish in self.mend:
            phrases += [wish.path, *([wish.value] if isinstance(wish.value, Phrase) else [])]
        expressions = [self.expect, *([self.when] if self.when else [])]
        expressions += [part for phrase in phrases for part in phrase.expressions]
        return frozenset(mention for one in expressions for mention in one.mentions)

    @property
    def sections(self) -> frozenset[str]:
        """The derived sections it needs, from its expressions and its paths."""
        paths = [*self.needs, *(loop.path for loop in self.each)]
        named = {phrase.text.split(".")[1] for phrase in paths if phrase.text.startswith("derived.")}
        return frozenset(m[1] for m in self.mentions if m[0] == "derived" and len(m) > 1) | named


def _starred(text: str, loops: tuple[Loop, ...]) -> str:
    """A path with ``*`` for what its loops and figures say."""
    path = _FIGURE.sub("*", text)
    for loop in reversed(loops):
        first, dot, rest = path.partition(".")
        if first == loop.name:
            path = f"{_FIGURE.sub('*', loop.path.text)}.*{dot}{rest}"
    return path
