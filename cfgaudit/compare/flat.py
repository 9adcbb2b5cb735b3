"""What has no word in the neutral vocabulary: settings by their name, unknown lines by their text."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from cfgaudit.compare.change import Change, Weight
from cfgaudit.compare.difference import Difference, same
from cfgaudit.compare.pair import origins
from cfgaudit.compare.private import is_written_in, private_places
from cfgaudit.compare.side import Side
from cfgaudit.compare.words import step
from cfgaudit.dialect.reading import Flat
from cfgaudit.dump.statement import Statement
from cfgaudit.model.model import HIDDEN, Unknown
from cfgaudit.model.order import natural
from cfgaudit.model.place import Origin
from cfgaudit.model.value import spoken


def flat_changes(a: Side, b: Side) -> Iterator[Change]:
    """Settings and lines outside the vocabulary; names of two firmwares are never held together."""
    if a.dialect_name == b.dialect_name:
        private = private_places(a, b)
        yield from setting_changes(a, b, private)
        yield from line_changes(a.unknown, b.unknown, private)
    elif any(side.model.settings or side.unknown for side in (a, b)):
        text = f"not comparable: {_count(a)} before, {_count(b)} after"
        yield _change("other settings", text, (), ())


def setting_changes(a: Side, b: Side, private: Container[Origin]) -> Iterator[Change]:
    """Settings of one firmware, by what they are and mean.

    A version may call one otherwise, which is no change, and may mean something else by the same text.
    """
    before = {_flat(a, name).identity: name for name in a.model.settings}
    after = {_flat(b, name).identity: name for name in b.model.settings}
    called = {key: after.get(key, before.get(key, key)) for key in before.keys() | after.keys()}
    for key in sorted(called, key=lambda one: natural(called[one])):
        missing = Unknown((called[key],))
        was = a.model.settings.get(before.get(key, ""), missing)
        now = b.model.settings.get(after.get(key, ""), missing)
        if key in before and key in after and _flat(a, before[key]).meaning == _flat(b, after[key]).meaning:
            continue
        one = Difference((called[key],), was, now, private=is_written_in(private, was, now))
        text = step(one)
        if same(was, now) and not one.private:
            meant = (
                _in_words(_flat(side, name).meaning) for side, name in ((a, before[key]), (b, after[key]))
            )
            text += ", which meant {} and means {}".format(*meant)
        if before.get(key, called[key]) != called[key]:
            text += f", was called {before[key]}"
        yield _change(called[key], text, origins([was]), origins([now]))


def _flat(side: Side, name: str) -> Flat:
    return side.flats.get(name) or Flat(name, side.model.settings[name].value)


def _in_words(meaning: object) -> str:
    """A value, or those of a packed one by their fields."""
    if isinstance(meaning, Mapping):
        return ", ".join(f"{name} {spoken(value)}" for name, value in meaning.items())
    return spoken(meaning)


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
