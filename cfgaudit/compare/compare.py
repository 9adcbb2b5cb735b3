"""Two configurations → what really changed, weightiest first."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference
from cfgaudit.compare.flat import flat_changes
from cfgaudit.compare.nested import differences
from cfgaudit.compare.pair import Pair
from cfgaudit.compare.private import PRIVATE, is_written_in, private_places
from cfgaudit.compare.side import Side
from cfgaudit.compare.speak import spoken_changes
from cfgaudit.compare.weights import rank
from cfgaudit.model.order import by_path, natural


class Comparison(Struct, frozen=True):
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
    found = [*spoken_changes(Pair(a, b), _differences(a, b)), *flat_changes(a, b)]
    found.sort(
        key=lambda one: (rank(one.weight), natural(one.subject), tuple(map(by_path, one.paths)), one.text)
    )
    return Comparison(tuple(found), a.dump.settings, b.dump.settings)


def _differences(a: Side, b: Side) -> tuple[Difference, ...]:
    """The leaves that differ, those marked that the vocabulary or a dialect calls private."""
    places = private_places(a, b)
    return tuple(
        replace(one, private=one.path in PRIVATE or is_written_in(places, one.before, one.after))
        for one in differences(a.model, b.model)
    )
