"""What is judged: the model, the build sheet, the figures derived from both, and their places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Protocol

from msgspec import Struct, field

from cfgaudit.audit.expression import Mention, branches
from cfgaudit.audit.finding import Sight
from cfgaudit.derive.missing import Figure, Missing
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines, write
from cfgaudit.model.model import HIDDEN
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Default, Place
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Json, Value


class Source(Protocol):
    """Where the trees came from: places to point at, and lines that would mend."""

    def found(self, path: Path) -> Sight | None:
        """What the dump says at a model path."""

    def declared(self, path: Path) -> Sight | None:
        """What the build sheet says at a path."""

    def line(self, number: int) -> Sight | None:
        """What stands on a line of the dump."""

    def where_to_declare(self, path: Path) -> Place | None:
        """Where in the build sheet a missing path would be written."""

    def owed(self, path: Path) -> Path:
        """What the build sheet would have to declare for the dump to say a model path, or ()."""

    def lines(self, wanted: Mapping[Path, Value]) -> Lines:
        """The lines that would give the paths their wanted values."""


class Evidence(Struct, frozen=True):
    """The three trees that rules see. ``figures`` still holds Missing; ``derived`` does not."""

    model: Mapping[str, Json]
    build: Mapping[str, Json]
    figures: Mapping[str, Figure]
    derived: Mapping[str, Json]
    source: Source
    _cuts: dict[frozenset[Mention], Mapping[str, Json]] = field(default_factory=dict)

    def cut(self, mentions: frozenset[Mention]) -> Mapping[str, Json]:
        """The trees without what no expression with these mentions looks at."""
        if mentions not in self._cuts:
            trees = {"model": self.model, "build": self.build, "derived": self.derived}
            self._cuts[mentions] = branches(trees, mentions)  # type: ignore[arg-type]
        return self._cuts[mentions]

    def root(self, name: str) -> Figure:
        """A tree by the name that rules call it by; of the derived one, with what is missing."""
        trees: Mapping[str, Mapping[str, Figure]] = {
            "model": self.model,  # type: ignore[dict-item]  # JSON is a Figure without Missing
            "build": self.build,  # type: ignore[dict-item]
            "derived": self.figures,
        }
        return trees.get(name)  # type: ignore[return-value]


def without_missing(figure: Figure) -> Json:
    """The figures that are there, as JSON."""
    if isinstance(figure, dict):
        return {key: without_missing(one) for key, one in figure.items() if not isinstance(one, Missing)}
    if isinstance(figure, list):
        return [without_missing(one) for one in figure if not isinstance(one, Missing)]
    return None if isinstance(figure, Missing) else figure


class Bench(Struct, frozen=True):
    """The source of a real audit: a dump that was read and a build sheet."""

    reading: Reading
    sheet: Build

    def found(self, path: Path) -> Sight | None:
        """See Source. Of a branch, its first leaf; of what is absent, nothing."""
        at = path if path in self.reading.model.leaves else self._first_below(path)
        if at is None:
            return None
        leaf, giver = self.reading.model.leaves[at], self.reading.givers.get(at)
        if isinstance(leaf.origin, Default):
            return Sight(leaf.origin, f"{dotted(path)} by default")
        if giver:  # perhaps a line that was typed on top of the dump
            return Sight(leaf.origin, self.reading.shown(giver.statement))
        remark = self.line(leaf.origin.line)
        return Sight(leaf.origin, remark.text if remark else "")

    def _first_below(self, path: Path) -> Path | None:
        below = {
            key: leaf.origin
            for key, leaf in self.reading.model.leaves.items()
            if key[: len(path)] == path and isinstance(leaf.origin, Place)
        }
        return min(below, key=below.__getitem__, default=None)

    def declared(self, path: Path) -> Sight | None:
        """See Source. Of what is not written, its nearest written ancestor."""
        place = self.sheet.place(path)
        return Sight(place, self.sheet.line(place))

    def line(self, number: int) -> Sight | None:
        """See Source."""
        statements = self.reading.dump.statements
        if not 0 < number <= len(statements):
            return None
        statement = statements[number - 1]
        return Sight(statement.place, self.reading.shown(statement))

    def where_to_declare(self, path: Path) -> Place | None:
        """See Source."""
        return self.sheet.place(path)

    def owed(self, path: Path) -> Path:
        """See Source. Of a port whose number in the firmware is not known, that number."""
        unmapped = path[:1] == ("ports",) and path[1:2] and self.reading.dialect.numbers_ports
        if not unmapped or path[1] in self.sheet.port_numbers.values():
            return ()
        return ("board", "ports", path[1], "number")

    def lines(self, wanted: Mapping[Path, Value]) -> Lines:
        """See Source."""
        return write(self.reading, wanted)


def facts_of_reading(reading: Reading, *, to_git: bool = False) -> dict[str, Json]:
    """How the dump was read, as rules see it: ``derived.reading``; whether its file is to go into git."""
    private = {place for _, place in reading.private}
    return {
        "dialect": reading.dialect.name,
        "versions": reading.dialect.versions.text,
        "extent": reading.extent.value,
        "doubts": [
            {
                "text": HIDDEN if doubt.place in private else doubt.text,
                "setting": doubt.setting,
                "why": doubt.kind,
                "said": "does not fit its setting" if doubt.place in private else doubt.why,
                "line": doubt.place.line,
            }
            for doubt in reading.doubts
        ],
        "unknown": [{"text": reading.shown(one), "line": one.line} for one in reading.unknown],
        "repeats": [
            {
                "text": reading.shown(repeat.last),
                "after": reading.shown(repeat.last),
                "before": reading.shown(repeat.first),
                "first": repeat.first.line,
                "last": repeat.last.line,
            }
            for repeat in reading.repeats
        ],
        "private": [{"setting": setting, "line": place.line} for setting, place in reading.private],
        "to_git": to_git,
    }


def dotted_paths(tree: Json, path: Path = ()) -> Iterator[tuple[Path, Value]]:
    """A nested tree → its leaves by path; the way back from ``nested``."""
    if isinstance(tree, dict):
        for key, inner in tree.items():
            yield from dotted_paths(inner, (*path, key))
    elif isinstance(tree, list):
        yield path, tuple(one for one in tree if isinstance(one, bool | int | float | str))
    elif tree is not None:
        yield path, tree
