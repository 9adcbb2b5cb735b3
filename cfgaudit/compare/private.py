"""Values that may have changed but are not shown: reports are pasted into forums."""

from __future__ import annotations

from collections.abc import Container

from cfgaudit.compare.side import Side
from cfgaudit.model.model import Leaf, Unknown
from cfgaudit.model.path import Path
from cfgaudit.model.place import Origin

# Private in every dialect, whether its author thought of it or not.
PRIVATE: frozenset[Path] = frozenset({("identity", "pilot_name"), ("receiver", "bind"), ("gnss", "home")})


def private_places(a: Side, b: Side) -> dict[Origin, str]:
    """Where the two dumps carry values that their dialects call private, and what each is of."""
    return {place: name for side in (a, b) for name, place in side.private}


def is_written_in(places: Container[Origin], *leaves: Leaf | Unknown) -> bool:
    """Whether one of the leaves was written in one of the places."""
    return any(isinstance(leaf, Leaf) and leaf.origin in places for leaf in leaves)
