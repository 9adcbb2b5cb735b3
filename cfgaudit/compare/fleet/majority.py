"""Who differs from most of its kind, and where.

Settings are counted craft by craft, so that none of them has to be kept whole: of each setting, which
values there are and who has them.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Mapping

from msgspec import Struct, field

from cfgaudit.compare.difference import Canonical, canonical
from cfgaudit.compare.fleet.configuration import Configuration, Hidden, Kind
from cfgaudit.compare.nested import JOBS
from cfgaudit.compare.weights import rank, weight_of
from cfgaudit.model.order import by_path
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value

LEAST = 3  # craft of a kind; of two, neither is the odd one


class NotSaid(Struct, frozen=True):
    """A setting that a craft's dump does not have, where others of its firmware's version do."""


Told = Value | Hidden | NotSaid


class Other(Struct, frozen=True):
    """A value that is not the usual one, and who has it, in the order of the fleet."""

    value: Told
    craft: tuple[str, ...]


class Odd(Struct, frozen=True):
    """A setting that more than half of a kind have alike, and who has it otherwise."""

    path: Path
    usual: Told
    have: int
    others: tuple[Other, ...]

    @property
    def private(self) -> bool:
        """Whether none of its values may be shown."""
        return any(isinstance(value, Hidden) for value in (self.usual, *(one.value for one in self.others)))


class KindTold(Struct, frozen=True):
    """A kind, its craft, and where they differ from most: the weightiest settings first.

    ``compared`` is whether there can be a majority: three craft or more, and a board that is named.
    """

    kind: Kind
    craft: tuple[str, ...]
    compared: bool
    odd: tuple[Odd, ...]


class Holders(Struct, frozen=True):
    """A value and the numbers of the craft that have it."""

    value: Value | Hidden
    members: array[int]


class Members(Struct, frozen=True):
    """The craft of one kind so far, and who has which value of each setting."""

    names: list[str] = field(default_factory=list)
    versions: list[str] = field(default_factory=list)
    complete: list[bool] = field(default_factory=list)
    settings: dict[Path, dict[Canonical | Hidden, Holders]] = field(default_factory=dict)

    def add(self, craft: str, told: Configuration) -> None:
        """Count one more craft."""
        number = len(self.names)
        self.names.append(craft)
        self.versions.append(told.version)
        self.complete.append(told.complete)
        for path, value in told.values:
            values = self.settings.setdefault(path, {})
            key = _identity(path, value)
            if key not in values:
                values[key] = Holders(value, array("I"))
            values[key].members.append(number)

    def odd(self) -> tuple[Odd, ...]:
        """Where craft differ from more than half of all."""
        found = (odd for path in self.settings for odd in self._odd(path))
        return tuple(sorted(found, key=lambda one: (rank(weight_of(one.path)), by_path(one.path))))

    def _odd(self, path: Path) -> Iterator[Odd]:
        values = self.settings[path]
        silent = self._silent(values)
        if len(values) + bool(silent) < 2:
            return
        each: list[tuple[Told, array[int]]] = [(one.value, one.members) for one in values.values()]
        each += [(NotSaid(), silent)] if silent else []
        usual = next((one for one in each if 2 * len(one[1]) > len(self.names)), None)
        if usual:
            others = sorted((one for one in each if one is not usual), key=lambda one: one[1][0])
            yield Odd(path, usual[0], len(usual[1]), tuple(self._other(*one) for one in others))

    def _silent(self, values: Mapping[Canonical | Hidden, Holders]) -> array[int]:
        """Who does not say a setting and would if it were set: others of the same version do."""
        says = {number for one in values.values() for number in one.members}
        if len(says) == len(self.names):
            return array("I")
        able = {self.versions[number] for number in says}
        return array(
            "I",
            (
                number
                for number, version in enumerate(self.versions)
                if number not in says and self.complete[number] and version in able
            ),
        )

    def _other(self, value: Told, members: array[int]) -> Other:
        return Other(value, tuple(self.names[number] for number in members))


class Kinds(Struct, frozen=True):
    """All craft so far, by kind."""

    members: dict[Kind, Members] = field(default_factory=dict)

    def add(self, craft: str, told: Configuration) -> None:
        """Count one more craft."""
        self.members.setdefault(told.kind, Members()).add(craft, told)

    def told(self) -> tuple[KindTold, ...]:
        """What came of it, kind by kind."""
        return tuple(_told(kind, self.members[kind]) for kind in sorted(self.members))


def _told(kind: Kind, members: Members) -> KindTold:
    compared = len(members.names) >= LEAST and bool(kind.board)
    return KindTold(kind, tuple(members.names), compared, members.odd() if compared else ())


def _identity(path: Path, value: Value | Hidden) -> Canonical | Hidden:
    """What is the same for values that mean the same; a port's jobs are a set."""
    if isinstance(value, Hidden):
        return value
    if path[-1] == JOBS and isinstance(value, tuple):
        return tuple(sorted(set(map(str, value))))
    return canonical(value)
