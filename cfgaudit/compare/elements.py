"""Elements of the OSD: where each stands and whether it is shown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference, grouped
from cfgaudit.compare.pair import Pair
from cfgaudit.compare.words import NOT_SAID
from cfgaudit.model.model import Leaf, Unknown
from cfgaudit.model.value import Json, spoken

_PLACE = ("column", "row")


def element_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """One change an element."""
    for name, inside in grouped(differences, lambda one: one.path[2]):
        before, after = _element(pair.a.model.tree, name), _element(pair.b.model.tree, name)
        yield pair.change(f"OSD {name.replace('_', ' ')}", _told(before, after, inside), inside)


def _element(tree: Mapping[str, Json], name: str) -> Mapping[str, Json]:
    node: Json = dict(tree)
    for key in ("osd", "elements", name):
        node = node.get(key) if isinstance(node, dict) else None
    return node if isinstance(node, dict) else {}


def _told(before: Mapping[str, Json], after: Mapping[str, Json], inside: Sequence[Difference]) -> str:
    if not before or not after:
        there = after or before
        return f"{'new' if after else 'gone'}: {_state(there)}"
    changed = {one.path[3] for one in inside}
    parts = []
    shown = before.get("shown"), after.get("shown")
    if shown == (True, False):
        parts.append(f"hidden, was at {_place(before)}")
    elif shown == (False, True):
        parts.append(f"shown at {_place(after)}")
    elif "shown" not in changed and changed & {*_PLACE}:
        unseen = " while hidden" if after.get("shown") is False else ""
        parts.append(f"moved{unseen}: {_move(before, after)}")
    said = {"shown", *_PLACE} if parts else set()
    parts += [_step(one) for one in inside if one.path[3] not in said]
    return ", ".join(parts)


def _state(element: Mapping[str, Json]) -> str:
    hidden = element.get("shown") is False
    others = [f"{key} {spoken(element[key])}" for key in sorted({*element} - {"shown", *_PLACE})]
    return ", ".join([f"{'hidden' if hidden else 'shown'} at {_place(element)}", *others])


def _place(element: Mapping[str, Json]) -> str:
    return ", ".join(f"{key} {spoken(element.get(key, '?'))}" for key in _PLACE)


def _move(before: Mapping[str, Json], after: Mapping[str, Json]) -> str:
    """``row 14 → 22 in column 9``; both in full if both changed."""
    for key, other in (_PLACE, _PLACE[::-1]):
        if key in before and key in after and before.get(other) == after.get(other):
            kept = f" in {other} {spoken(after[other])}" if other in after else ""
            return f"{key} {spoken(before[key])} → {spoken(after[key])}{kept}"
    return f"{_place(before)} → {_place(after)}"


def _step(one: Difference) -> str:
    return f"{one.path[3].replace('_', ' ')} {_side(one.before)} → {_side(one.after)}"


def _side(leaf: Leaf | Unknown) -> str:
    return spoken(leaf.value) if isinstance(leaf, Leaf) else NOT_SAID
