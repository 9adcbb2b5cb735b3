"""Configurations made by hand: what a reading of a dump would be, without a dump."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from cfgaudit.compare.change import Change
from cfgaudit.compare.compare import compare
from cfgaudit.dialect.reading import Flat
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path, dotted, parse
from cfgaudit.model.place import Origin, Place
from cfgaudit.model.value import Value


class Written(Struct, frozen=True):
    settings: int


class Side(Struct, frozen=True):
    """Has what the comparison asks of a reading."""

    model: Model
    unknown: tuple[Statement, ...] = ()
    private: tuple[tuple[str, Place], ...] = ()
    dialect_name: str = "plover"
    waits: Mapping[str, str] = field(default_factory=dict)

    flats: Mapping[str, Flat] = field(default_factory=dict)

    @property
    def dump(self) -> Written:
        return Written(len(self.model.leaves) + len(self.model.settings) + len(self.unknown))

    def after(self, path: Path) -> str:
        return self.waits.get(dotted(path), "")


def side(
    leaves: Mapping[str, Value],
    settings: Mapping[str, str] | None = None,
    unknown: Sequence[str] = (),
    file: str = "a.txt",
    dialect: str = "plover",
    waits: Mapping[str, str] | None = None,
    origin: Origin | None = None,
    private: Sequence[str] = (),
) -> Side:
    """A side from dotted paths; every leaf on a line of its own, unless all come from one origin."""
    names = [*leaves, *(settings or {})]
    places: dict[str, Origin] = {name: Place(file, n) for n, name in enumerate(names, 1)}
    hidden = [(name, place) for name, place in places.items() if name in private]
    return Side(
        Model(
            {parse(name): Leaf(value, origin or places[name]) for name, value in leaves.items()},
            {name: Leaf(value, origin or places[name]) for name, value in (settings or {}).items()},
        ),
        tuple(Statement(Kind.STRAY, file, 900 + n, f"{text}\n", (0, 1)) for n, text in enumerate(unknown)),
        tuple((name, place) for name, place in hidden if isinstance(place, Place)),
        dialect,
        waits or {},
    )


def changes(a: Side, b: Side) -> tuple[Change, ...]:
    return compare(a, b).changes


def said(a: Mapping[str, Value], b: Mapping[str, Value]) -> list[str]:
    """The changes between two sets of leaves as lines: ``subject: text``."""
    return [f"{one.subject}: {one.text}" for one in changes(side(a), side(b, file="b.txt"))]
