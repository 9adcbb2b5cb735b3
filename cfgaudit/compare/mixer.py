"""The mixer: one row a motor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference, grouped
from cfgaudit.compare.pair import Pair, rows
from cfgaudit.compare.words import piece
from cfgaudit.model.order import natural
from cfgaudit.model.value import Json, spoken

_ORDER = ("motor", "throttle", "roll", "pitch", "yaw")


def mixer_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """Two motors that swapped their rows are one change, every other row is one."""
    by_row = dict(grouped(differences, lambda one: one.path[1]))
    before, after = rows(pair.a.model, "mixer"), rows(pair.b.model, "mixer")
    for left, right in _swapped(sorted(by_row, key=natural), before, after):
        both = by_row.pop(left) + by_row.pop(right)
        yield pair.change(f"motors {left} and {right}", "swapped their mixer rows", both)
    for number, inside in by_row.items():
        inside.sort(key=lambda one: _place(one.path[2]))
        if number in before and number in after:
            text = ", ".join(piece(one, 2) for one in inside)
        elif number in after:
            text = f"new: {_row_words(after[number])}"
        else:
            text = f"gone: {_row_words(before[number])}"
        yield pair.change(f"motor {number} mixer row", text, inside)


def _swapped(
    numbers: Sequence[str],
    before: Mapping[str, Mapping[str, Json]],
    after: Mapping[str, Mapping[str, Json]],
) -> Iterator[tuple[str, str]]:
    """Pairs of rows of which each has become what the other was; a row is in one pair at most."""
    free = {*numbers} & before.keys() & after.keys()
    for one, other in combinations(numbers, 2):
        is_swap = {one, other} <= free and (
            _turn(before, one) == _turn(after, other) and _turn(before, other) == _turn(after, one)
        )
        if is_swap:
            free -= {one, other}
            yield one, other


def _turn(side: Mapping[str, Mapping[str, Json]], number: str) -> dict[str, Json]:
    """What the row does to the motor, without the motor's own number."""
    return {key: value for key, value in side[number].items() if key != "motor"}


def _place(key: str) -> tuple[int, str]:
    """The order in which a row's factors are spoken."""
    return (_ORDER.index(key) if key in _ORDER else len(_ORDER), key)


def _row_words(row: Mapping[str, Json]) -> str:
    return ", ".join(f"{key.replace('_', ' ')} {spoken(row[key])}" for key in sorted(row, key=_place))
