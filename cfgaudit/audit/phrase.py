"""Texts with CEL in braces: sentences for people, and paths into the trees."""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.audit.expression import Expression, Surroundings, value
from cfgaudit.audit.fault import Fault
from cfgaudit.model.path import Path
from cfgaudit.model.value import Json, spoken

# Facts about the reading that change with every line above, and what a finding is about does not.
_WHERE = re.compile(r"\.(line|lines|first|last)\b")


class Phrase(Struct, frozen=True):
    """A text in parts: fixed ones and expressions, and the offsets in the text at which they start."""

    text: str
    parts: tuple[str | Expression, ...]
    starts: tuple[int, ...]

    @property
    def expressions(self) -> tuple[Expression, ...]:
        """The expressions in it."""
        return tuple(part for part in self.parts if isinstance(part, Expression))

    @property
    def start(self) -> str:
        """The first segment of the path that it is, if that is fixed; else ""."""
        first = self.parts[0] if self.parts else ""
        if not isinstance(first, str):
            return ""
        segment, dot, _ = first.partition(".")
        return segment if dot or len(self.parts) == 1 else ""

    def said(self, around: Surroundings) -> str:
        """The sentence with its figures spoken. Raises Fault."""
        return "".join(part if isinstance(part, str) else spoken(value(part, around)) for part in self.parts)

    def figures(self, around: Surroundings) -> tuple[str, ...]:
        """The figures alone, spoken, without those that say where a line stands. Raises Fault."""
        told = (part for part in self.expressions if not _WHERE.search(part.text))
        return tuple(spoken(value(part, around)) for part in told)

    def meant(self, around: Surroundings) -> Json:
        """The value: of a phrase that is one expression with its type kept, else the sentence."""
        if len(self.parts) == 1 and isinstance(self.parts[0], Expression):
            return value(self.parts[0], around)
        return self.said(around)

    def path(self, around: Surroundings) -> Path:
        """The phrase as a path, segment by segment, so that a key with a dot in it stays one key.

        A list of texts is as many segments. Raises Fault.
        """
        segments = [""]
        for part in self.parts:
            if isinstance(part, str):
                first, *others = part.split(".")
                segments[-1] += first
                segments += others
            else:
                told = value(part, around)
                first, *others = map(spoken, told) if isinstance(told, list) and told else (spoken(told),)
                segments[-1] += first
                segments += others
        path = tuple(segment for segment in segments if segment)
        if not path:
            raise Fault("is empty where a path must be")
        return path


def phrase(text: str, names: tuple[str, ...], trusted: bool = False) -> Phrase:
    """``"the {device.job} job"`` → its parts. ``{{`` and ``}}`` are braces. Raises Fault."""
    parts = tuple(_parts(text, names, trusted))
    return Phrase(text, tuple(part for _, part in parts), tuple(start for start, _ in parts))


def _parts(text: str, names: tuple[str, ...], trusted: bool) -> Iterator[tuple[int, str | Expression]]:
    fixed, start, at = "", 0, 0
    while at < len(text):
        if text[at : at + 2] in ("{{", "}}"):
            fixed, at = fixed + text[at], at + 2
        elif text[at] == "{":
            end = _closing(text, at)
            if fixed:
                yield start, fixed
            yield at + 1, Expression(text[at + 1 : end], names, trusted)
            fixed, start, at = "", end + 1, end + 1
        else:
            fixed, at = fixed + text[at], at + 1
    if fixed:
        yield start, fixed


def _closing(text: str, opening: int) -> int:
    """Where the brace that opens here closes; CEL's own maps and its quoted texts are stepped over."""
    depth, quote = 0, ""
    for at in range(opening, len(text)):
        character = text[at]
        if quote:
            quote = "" if character == quote else quote
        elif character in "'\"":
            quote = character
        elif character == "{":
            depth += 1
        elif character == "}":
            depth -= 1
            if depth == 0:
                return at
    raise Fault("a brace opens and does not close", opening)
