"""One leaf that is not the same on both sides: what everything spoken is made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from msgspec import Struct

from cfgaudit.model.model import Leaf, Unknown
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value

# Stand-ins that no dump can hold: NUL never reaches a model.
_TRUE, _FALSE, _NAN = "\0true", "\0false", "\0nan"

Key = TypeVar("Key")

Canonical = int | float | str | tuple["Canonical", ...]


class Difference(Struct, frozen=True):
    """A leaf before and after; ``Unknown`` where that side does not say it.

    ``private``: it may be said that it changed, but not from what to what.
    """

    path: Path
    before: Leaf | Unknown
    after: Leaf | Unknown
    private: bool = False


def canonical(value: Value) -> Canonical:
    """A form in which ``==`` and ``hash`` mean what a builder means.

    1 and 1.0 are the same, yes and 1 are not, and a value that is not a number equals itself.
    """
    if isinstance(value, bool):
        return _TRUE if value else _FALSE
    if isinstance(value, tuple):
        return tuple(canonical(one) for one in value)
    return _NAN if value != value else value


def same(before: Leaf | Unknown, after: Leaf | Unknown, *, as_set: bool = False) -> bool:
    """Whether two leaves say the same, wherever they were written and by whom."""
    if isinstance(before, Unknown) or isinstance(after, Unknown):
        return isinstance(before, Unknown) and isinstance(after, Unknown)
    one, other = canonical(before.value), canonical(after.value)
    if as_set and isinstance(one, tuple) and isinstance(other, tuple):
        return set(one) == set(other)
    return one == other


def grouped(
    differences: Iterable[Difference], key: Callable[[Difference], Key]
) -> list[tuple[Key, list[Difference]]]:
    """Differences that are told together, in the order in which the first of each group came."""
    groups: dict[Key, list[Difference]] = {}
    for one in differences:
        groups.setdefault(key(one), []).append(one)
    return list(groups.items())
