"""The neutral model of a configuration: leaves by path, each with its origin.

The vocabulary (which paths exist, their units and meaning) is ``model.schema.json`` beside this
file. Paths that no firmware needs are simply absent: absent means *unknown*, never *off*.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from msgspec import Struct

from cfgaudit.model.path import Path
from cfgaudit.model.place import Origin
from cfgaudit.model.value import Json, Value, jsonable

HIDDEN = "(private, not shown)"  # in place of a value that no report may show


class Leaf(Struct, frozen=True):
    """One value and where it came from."""

    value: Value
    origin: Origin


class Unknown(Struct, frozen=True):
    """What a dump does not tell and the dialect declares no default for."""

    path: Path


class Model(Struct, frozen=True, dict=True):
    """Everything one dump says, in the vocabulary of the trade.

    ``leaves`` maps model paths to leaves. ``settings`` holds what the neutral vocabulary has no
    word for, by the name the firmware writes, as text: compared, never judged.
    """

    leaves: Mapping[Path, Leaf]
    settings: Mapping[str, Leaf]

    def at(self, path: Path) -> Leaf | Unknown:
        """The leaf at a path, or the typed answer that nobody told."""
        return self.leaves.get(path) or Unknown(path)

    @cached_property
    def tree(self) -> dict[str, Json]:
        """The leaves as one nested JSON object: what rules, schema and comparison look at."""
        return nested((path, leaf.value) for path, leaf in self.leaves.items())


def nested(leaves: Iterable[tuple[Path, Value]]) -> dict[str, Json]:
    """Flat paths → nested objects. A path that runs through another's leaf is a caller's error."""
    root: dict[str, Json] = {}
    for path, value in leaves:
        node = root
        for key in path[:-1]:
            inner = node.setdefault(key, {})
            if not isinstance(inner, dict):
                raise ValueError(f"{'.'.join(path)} runs through a leaf")
            node = inner
        node[path[-1]] = jsonable(value)
    return root
