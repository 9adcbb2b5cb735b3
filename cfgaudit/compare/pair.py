"""Two configurations side by side, and how a change between them is put together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference
from cfgaudit.compare.side import Side
from cfgaudit.compare.weights import weightiest
from cfgaudit.dialect.wait import longest
from cfgaudit.model.model import Leaf, Model, Unknown
from cfgaudit.model.path import Path
from cfgaudit.model.place import Origin, Place
from cfgaudit.model.value import Json


class Pair(Struct, frozen=True):
    """``a`` is before, ``b`` after."""

    a: Side
    b: Side

    def change(self, subject: str, text: str, touched: Sequence[Difference]) -> Change:
        """A change of these leaves: its weight, places and effect follow from them."""
        paths = tuple(one.path for one in touched)
        return Change(
            weight=weightiest(paths),
            subject=subject,
            text=text,
            paths=paths,
            before=origins(one.before for one in touched),
            after=origins(one.after for one in touched),
            effect=self._effect(paths),
        )

    def _effect(self, paths: Iterable[Path]) -> str:
        wait = longest(map(self.b.after, paths))
        return f"after a {wait}" if wait else ""


def origins(leaves: Iterable[Leaf | Unknown]) -> tuple[Origin, ...]:
    """Where the leaves were written, once a line: the cells of a row stand together."""
    lines: dict[object, Origin] = {}
    for leaf in leaves:
        if isinstance(leaf, Leaf):
            origin = leaf.origin
            lines.setdefault((origin.file, origin.line) if isinstance(origin, Place) else origin, origin)
    return tuple(lines.values())


def rows(model: Model, section: str) -> Mapping[str, Mapping[str, Json]]:
    """The rows of a section that has them: ``outputs`` → ``{"1": {"motor": 1, "pin": "PB0"}}``."""
    section_tree = model.tree.get(section)
    if not isinstance(section_tree, dict):
        return {}
    return {key: row for key, row in section_tree.items() if isinstance(row, dict)}
