"""Single facts: a key of the sheet, the model paths that tell it, and what to look at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct

from cfgaudit.derive.sheet.entry import Entry, blank
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import told as told_at
from cfgaudit.model.path import parse
from cfgaudit.model.placed import Trail
from cfgaudit.model.value import Json

# Values of the model paths, None for what is not told → what the sheet has, None for nothing.
Make = Callable[[Sequence[Json]], Json]


def only(values: Sequence[Json]) -> Json:
    """The value itself; nothing if it is empty or the dump's word for nothing."""
    (value,) = values
    return None if value in ("", "none") else value


def listed(values: Sequence[Json]) -> Json:
    """The value as a list of one."""
    value = only(values)
    return None if value is None else [value]


def switch(values: Sequence[Json]) -> Json:
    """A switch as a person writes it."""
    (value,) = values
    return {True: "yes", False: "no"}.get(value) if isinstance(value, bool) else None


class Fact(Struct, frozen=True):
    """A key of the sheet and where its value comes from.

    ``told_by`` are the model paths that tell it, none if no dump can. ``sure`` is false for what a dump
    only suggests, which is a line to fill in all the same. ``example`` goes before the schema's.
    """

    key: str
    look: str
    told_by: tuple[str, ...] = ()
    make: Make = only
    sure: bool = True
    example: Json = None

    def entry(self, told: Told, block: Trail = ()) -> Entry:
        """The line of this fact in a block of the sheet."""
        paths = [parse(one) for one in self.told_by]
        values = [told_at(told.model, *path) for path in paths]
        value = self.make(values) if paths else None
        taken = told.lines(*paths)
        if value is None or not self.sure:
            return blank((*block, self.key), self.look, self.example if value is None else value, taken)
        return Entry(self.key, value, taken=taken, look=self.look)


Part = Fact | Callable[[Told], Entry]


def entries(parts: Iterable[Part], told: Told, block: Trail = ()) -> tuple[Entry, ...]:
    """The lines of a block, one for each of its parts."""
    return tuple(one.entry(told, block) if isinstance(one, Fact) else one(told) for one in parts)
