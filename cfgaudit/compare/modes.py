"""Modes: the ranges of a radio channel that switch them on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Canonical, Difference, canonical, grouped
from cfgaudit.compare.pair import Pair
from cfgaudit.model.model import Model
from cfgaudit.model.order import natural
from cfgaudit.model.value import Value, spoken

Range = Mapping[str, Value]
Ranges = Mapping[str, Range]  # by the row of the firmware's table

_PLAIN = {"channel", "from_us", "to_us"}


def mode_changes(pair: Pair, differences: Sequence[Difference]) -> Iterator[Change]:
    """One change a mode. What a range says is its identity: in which row it stands is no change."""
    for mode, inside in grouped(differences, lambda one: one.path[1]):
        text = _told(_ranges(pair.a.model, mode), _ranges(pair.b.model, mode))
        if text:
            yield pair.change(mode.replace("_", " "), text, inside)


def _ranges(model: Model, mode: str) -> Ranges:
    rows: dict[str, dict[str, Value]] = {}
    for path, leaf in model.leaves.items():
        if len(path) == 4 and path[:2] == ("modes", mode):
            rows.setdefault(path[2], {})[path[3]] = leaf.value
    return rows


def _told(before: Ranges, after: Ranges) -> str:
    """What became of a mode's ranges; "" if they only stand in other rows."""
    gone, come = _unpaired(before, after)
    pairs = [(row, row) for row in gone if row in come]
    pairs += zip(
        [row for row in gone if row not in come], [row for row in come if row not in gone], strict=False
    )
    parts = [_step(before[was], after[now]) for was, now in pairs]
    dropped = [_words(before[row]) for row in gone if row not in {was for was, _ in pairs}]
    added = [_words(after[row]) for row in come if row not in {now for _, now in pairs}]
    if not after:
        return "; ".join([f"was {' and '.join(dropped)}", "no switch now"])
    if not before:
        return "; ".join([" and ".join(added), "no switch before"])
    parts += [f"gone: {words}" for words in dropped] + [f"new: {words}" for words in added]
    return "; ".join(parts)


def _unpaired(before: Ranges, after: Ranges) -> tuple[list[str], list[str]]:
    """The rows of both sides to which the other side has no equal range in any row."""
    come = sorted(after, key=natural)
    gone = []
    for row in sorted(before, key=natural):
        equal = [other for other in come if _content(after[other]) == _content(before[row])]
        if equal:
            come.remove(row if row in equal else equal[0])
        else:
            gone.append(row)
    return gone, come


def _content(one: Range) -> dict[str, Canonical]:
    return {key: canonical(value) for key, value in one.items()}


def _step(before: Range, after: Range) -> str:
    if before.keys() == after.keys() == _PLAIN:
        was, now = _span(before), _span(after)
        if before["channel"] == after["channel"]:
            return f"channel {spoken(before['channel'])}, {was} → {now} µs"
        if was == now:
            return f"channel {spoken(before['channel'])} → {spoken(after['channel'])}, {was} µs"
        return f"{_words(before).removesuffix(' µs')} → {_words(after)}"
    return f"{_words(before)} → {_words(after)}"


def _span(one: Range) -> str:
    return f"{spoken(one.get('from_us', '?'))}–{spoken(one.get('to_us', '?'))}"


def _words(one: Range) -> str:
    """``channel 5, 1700–2100 µs``, and whatever else the firmware says of a range."""
    others = [f"{key.replace('_', ' ')} {spoken(one[key])}" for key in sorted(one.keys() - _PLAIN)]
    channel = [f"channel {spoken(one['channel'])}"] if "channel" in one else []
    span = [f"{_span(one)} µs"] if one.keys() & {"from_us", "to_us"} else []
    return ", ".join([*channel, *span, *others])
