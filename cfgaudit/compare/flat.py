"""What has no word in the neutral vocabulary: settings by their name, unknown lines by their text."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change, Weight
from cfgaudit.compare.difference import Difference, same
from cfgaudit.compare.pair import origins
from cfgaudit.compare.private import is_written_in, private_places
from cfgaudit.compare.side import Side
from cfgaudit.compare.words import step
from cfgaudit.dump.statement import Statement
from cfgaudit.model.model import HIDDEN, Leaf, Unknown
from cfgaudit.model.order import natural
from cfgaudit.model.place import Origin


def flat_changes(a: Side, b: Side) -> Iterator[Change]:
    """Settings and lines outside the vocabulary; names of two firmwares are never held together."""
    if a.dialect_name == b.dialect_name:
        private = private_places(a, b)
        yield from setting_changes(a.model.settings, b.model.settings, private)
        yield from line_changes(a.unknown, b.unknown, private)
    elif any(side.model.settings or side.unknown for side in (a, b)):
        text = f"not comparable: {_count(a)} before, {_count(b)} after"
        yield _change("other settings", text, (), ())


def setting_changes(
    before: Mapping[str, Leaf], after: Mapping[str, Leaf], private: Container[Origin]
) -> Iterator[Change]:
    """Settings of one firmware, by name."""
    for name in sorted(before.keys() | after.keys(), key=natural):
        missing = Unknown((name,))
        was, now = before.get(name, missing), after.get(name, missing)
        if not same(was, now):
            one = Difference((name,), was, now, private=is_written_in(private, was, now))
            yield _change(name, step(one), origins([was]), origins([now]))


def line_changes(
    before: Sequence[Statement], after: Sequence[Statement], private: Mapping[Origin, str]
) -> Iterator[Change]:
    """Lines that the dialect does not know: a line more or a line less, wherever it stands."""
    had, has = _by_text(before), _by_text(after)
    for text in sorted(had.keys() | has.keys(), key=natural):
        was, now = had.get(text, []), has.get(text, [])
        gone, come = was[len(now) :], now[len(was) :]
        if gone or come:
            often = f" {len(gone or come)} times" if len(gone or come) > 1 else ""
            secret = private.get((gone or come)[0])
            shown = f"{secret} {HIDDEN}" if secret else text
            told = f"{'gone' if gone else 'new'}{often}: {shown}"
            yield _change("unknown line", told, tuple(gone), tuple(come))


def _by_text(lines: Sequence[Statement]) -> dict[str, list[Origin]]:
    """Places by what stands there; how many blanks part the words says nothing."""
    places: dict[str, list[Origin]] = {}
    for line in lines:
        places.setdefault(" ".join(line.text.split()), []).append(line.place)
    return places


def _count(side: Side) -> str:
    return f"{len(side.model.settings) + len(side.unknown)} of {side.dialect_name}"


def _change(subject: str, text: str, before: tuple[Origin, ...], after: tuple[Origin, ...]) -> Change:
    return Change(Weight.REST, subject, text, (), before, after)
