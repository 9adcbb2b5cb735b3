"""Profiles of tuning values: compared, not judged, and told one change a profile."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference, grouped
from cfgaudit.compare.pair import Pair, rows
from cfgaudit.compare.words import lone_side, piece, some
from cfgaudit.model.model import Unknown

SUBJECTS: Mapping[str, str] = {"profiles": "profile", "rates": "rates"}

_FIRST_FEW = 3
_CHANGED, _NEW, _GONE = "changed", "new", "no longer said"


def tuning_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """How many values of a profile changed, and the first few of them."""
    for (section, number), inside in grouped(differences, lambda one: (one.path[0], one.path[1])):
        had, has = (number in rows(side.model, section) for side in (pair.a, pair.b))
        if had and has:
            # what both sides say comes first: that is what the pilot may feel
            by_kind = sorted(inside, key=lambda one: (_kind(one) != _CHANGED, _kind(one)))
            text = some([piece(one, 2) for one in by_kind], _FIRST_FEW)
            text = text if len(inside) == 1 else f"{_count(inside)}: {text}"
        else:
            said = some([lone_side(one, 2) for one in inside], _FIRST_FEW)
            text = f"{_count(inside)}: {said}"
        yield pair.change(f"{SUBJECTS[section]} {number}", text, inside)


def _kind(one: Difference) -> str:
    if isinstance(one.before, Unknown):
        return _NEW
    return _GONE if isinstance(one.after, Unknown) else _CHANGED


def _count(inside: Sequence[Difference]) -> str:
    """``9 values changed``; ``5 values changed, 18 no longer said, 23 new``."""
    counts = Counter(map(_kind, inside))
    told = [f"{counts[kind]} {kind}" for kind in (_CHANGED, _GONE, _NEW) if counts[kind]]
    first, _, rest = told[0].partition(" ")
    return ", ".join([f"{first} value{'' if first == '1' else 's'} {rest}", *told[1:]])
