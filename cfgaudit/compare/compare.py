"""Two configurations → what really changed, weightiest first."""

from __future__ import annotations

from dataclasses import dataclass

from cfgaudit.compare.change import Change
from cfgaudit.compare.flat import flat_changes
from cfgaudit.compare.nested import differences
from cfgaudit.compare.order import by_path, natural
from cfgaudit.compare.pair import Pair
from cfgaudit.compare.side import Side
from cfgaudit.compare.speak import spoken_changes
from cfgaudit.compare.weights import rank
from cfgaudit.model.model import Leaf
from cfgaudit.model.place import Place


@dataclass(frozen=True, slots=True)
class Comparison:
    """All changes from one configuration to another.

    ``settings_a`` and ``settings_b`` say how many settings the two dumps wrote: what the number
    of changes is to be held against.
    """

    changes: tuple[Change, ...]
    settings_a: int
    settings_b: int

    @property
    def same(self) -> bool:
        """Whether both say the same, whatever their files look like."""
        return not self.changes


def compare(a: Side, b: Side) -> Comparison:
    """What one would have to tell the builder who knew ``a`` and now holds ``b``."""
    found = [*spoken_changes(Pair(a, b), differences(a.model, b.model)), *flat_changes(a, b)]
    found.sort(
        key=lambda one: (rank(one.weight), natural(one.subject), tuple(map(by_path, one.paths)), one.text)
    )
    return Comparison(tuple(found), settings_written(a), settings_written(b))


def settings_written(side: Side) -> int:
    """Lines of a dump that set something, known to the dialect or not; defaults are not written."""
    leaves: list[Leaf] = [*side.model.leaves.values(), *side.model.settings.values()]
    places = {leaf.origin for leaf in leaves if isinstance(leaf.origin, Place)}
    return len({(place.file, place.line) for place in places}) + len(side.unknown)
