"""Profiles of tuning values: compared, not judged, and told one change a profile."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference, grouped
from cfgaudit.compare.pair import Pair, rows
from cfgaudit.compare.words import label, labelled, piece, some, with_unit
from cfgaudit.model.model import Leaf, Unknown

SUBJECTS: Mapping[str, str] = {"profiles": "profile", "rates": "rates"}

_FIRST_FEW = 3


def tuning_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """How many values of a profile changed, and the first few of them."""
    for (section, number), inside in grouped(differences, lambda one: (one.path[0], one.path[1])):
        had, has = (number in rows(side.model, section) for side in (pair.a, pair.b))
        if had and has:
            text = some([piece(one, 2) for one in inside], _FIRST_FEW)
            text = text if len(inside) == 1 else f"{len(inside)} values: {text}"
        else:
            leaves = [_said(one) for one in inside]
            count = f"{len(leaves)} value{'s' if len(leaves) > 1 else ''}"
            text = f"{'new' if has else 'gone'}, {count}: {some(leaves, _FIRST_FEW)}"
        yield pair.change(f"{SUBJECTS[section]} {number}", text, inside)


def _said(one: Difference) -> str:
    leaf: Leaf | Unknown = one.after if isinstance(one.after, Leaf) else one.before
    words = with_unit(one.path, leaf.value) if isinstance(leaf, Leaf) else ""
    return labelled(label(one.path, 2), words)
