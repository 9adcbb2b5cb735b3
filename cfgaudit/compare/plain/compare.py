"""Two texts of settings that no dialect knows → what really changed.

A setting is the same on both sides if it stands in the same scope and has the same name, or the
same leading cells: the shortest run that is unique in both files. Where it stands in its scope says
nothing. Rows that no leading cells tell apart are a list, of which lines are gone or appeared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain

from msgspec import Struct

from cfgaudit.compare.change import Change, Weight
from cfgaudit.compare.compare import Comparison
from cfgaudit.compare.plain.keys import LIST, MOST, Words, key_length
from cfgaudit.compare.plain.lines import NO_PARENT, Line, Plain
from cfgaudit.model.order import natural

Scope = tuple[str, ...]  # keys of the lines that a line belongs to, outermost first
Group = tuple[Scope, bool, str]  # scope, whether its lines are assignments, their name or keyword

_EMPTY = "(empty)"


def compare_plain(a: Plain, b: Plain) -> Comparison:
    """What changed, in the order of scopes and keys; its weight is not known, so it is the rest."""
    found = sorted(_changes(a, b), key=lambda pair: (pair[0], natural(pair[1].subject), pair[1].text))
    return Comparison(tuple(change for _, change in found), a.settings, b.settings)


def reordered(a: Plain, b: Plain) -> tuple[str, ...]:
    """The lists whose lines stand in another order: no change, yet something may hang on it.

    Without a dialect nobody can tell a list from lines that each belong to a selector above them.
    """
    lists = (bucket for bucket in _buckets(a.lines, b.lines) if bucket.length == LIST or bucket.repeated)
    found = {bucket.subject for bucket in lists if _common_rows(bucket) != _common_rows(bucket, back=True)}
    return tuple(sorted(found, key=natural))


class _Bucket(Struct, frozen=True):
    """The lines of both files with one key; ``length`` of their words are the key."""

    scope: Scope
    length: int
    before: Sequence[Line]
    after: Sequence[Line]

    @property
    def repeated(self) -> bool:
        """Whether a file has several lines with the key."""
        return len(self.before) > 1 or len(self.after) > 1

    @property
    def subject(self) -> str:
        """The key as written."""
        return _named_in(self.scope, (*self.before, *self.after)[0].shown(0, self.length or 1))


def _common_rows(bucket: _Bucket, *, back: bool = False) -> list[Words]:
    """The lines of one file that the other has too, in their order, each once."""
    one, other = (bucket.after, bucket.before) if back else (bucket.before, bucket.after)
    shared = _distinct(other)
    return list(dict.fromkeys(line.words for line in one if line.words in shared))


def _changes(a: Plain, b: Plain) -> Iterator[tuple[tuple[object, ...], Change]]:
    for bucket in _buckets(a.lines, b.lines):
        order = tuple(map(natural, bucket.scope))
        yield from ((order, change) for change in _bucket_changes(bucket))


def _buckets(a: Sequence[Line], b: Sequence[Line]) -> Iterator[_Bucket]:
    """All lines by their keys, outer lines first: their keys are the scopes of the inner ones."""
    scopes: tuple[dict[int, Scope], dict[int, Scope]] = ({NO_PARENT: ()}, {NO_PARENT: ()})
    levels = tuple(map(_levels, (a, b)))
    for level in range(max(map(len, levels))):
        groups: dict[Group, tuple[list[int], list[int]]] = {}
        for side, lines in enumerate((a, b)):
            for index in levels[side][level] if level < len(levels[side]) else ():
                line = lines[index]
                group = (scopes[side][line.parent], line.named, line.words[0])
                groups.setdefault(group, ([], []))[side].append(index)
        for (scope, named, _), (had, has) in groups.items():
            before, after = [a[n] for n in had], [b[n] for n in has]
            length = 1 if named else key_length(_distinct(before), _distinct(after))
            buckets: dict[Words, tuple[list[Line], list[Line]]] = {}
            for side, (indices, lines) in enumerate(((had, before), (has, after))):
                for index, line in zip(indices, lines, strict=True):
                    buckets.setdefault(line.words[: length or 1], ([], []))[side].append(line)
                    scopes[side][index] = (*scope, line.shown(0, length or None))
            yield from (_Bucket(scope, length, *sides) for sides in buckets.values())


def _levels(lines: Sequence[Line]) -> list[list[int]]:
    """Indices of the lines by how many lines they belong to."""
    depths: dict[int, int] = {NO_PARENT: -1}
    levels: list[list[int]] = []
    for index, line in enumerate(lines):
        depth = depths[index] = depths[line.parent] + 1
        if depth == len(levels):
            levels.append([])
        levels[depth].append(index)
    return levels


def _distinct(lines: Sequence[Line]) -> frozenset[Words]:
    return frozenset(line.words for line in lines)


def _bucket_changes(bucket: _Bucket) -> Iterator[Change]:
    before, after = (_in_force(lines, bucket.length) for lines in (bucket.before, bucket.after))
    gone, come = _left_over(before, after), _left_over(after, before)
    for was, now in _paired(gone, come):
        yield _change(bucket, was, now)


def _in_force(lines: Sequence[Line], length: int) -> Sequence[Line]:
    """The last of several lines with one key, or all of them if they are a list.

    They are a list if each says something else in as many cells.
    """
    if length == LIST or len(lines) < 2:
        return lines
    alike = len({len(line.words) for line in lines}) == 1
    return lines if alike and len(_distinct(lines)) == len(lines) else lines[-1:]


def _left_over(lines: Sequence[Line], others: Sequence[Line]) -> dict[Words, list[Line]]:
    """What ``lines`` say more often than ``others``, by words: the last ones of each."""
    counts = Counter(line.words for line in others)
    rows: dict[Words, list[Line]] = {}
    for line in lines:
        rows.setdefault(line.words, []).append(line)
    more = ((words, same[counts[words] :]) for words, same in rows.items())
    return {words: same for words, same in more if same}


def _paired(
    gone: dict[Words, list[Line]], come: dict[Words, list[Line]]
) -> Iterator[tuple[Sequence[Line], Sequence[Line]]]:
    """Lines that became others: those with the shortest leading words that tell all of them apart."""
    widest = max(map(len, chain(gone, come)), default=0)
    partners: dict[Words, Words] = {}
    if gone and come:
        for length in range(1, min(widest, MOST) + 1):
            lead, other = ({words[:length]: words for words in side} for side in (gone, come))
            if len(lead) == len(gone) and len(other) == len(come):
                partners = {lead[key]: other[key] for key in lead.keys() & other.keys()}
                break
    partners = {was: now for was, now in partners.items() if len(gone[was]) == len(come[now])}
    for words, lines in gone.items():
        yield lines, come[partners[words]] if words in partners else ()
    taken = frozenset(partners.values())
    yield from (((), lines) for words, lines in come.items() if words not in taken)


def _change(bucket: _Bucket, was: Sequence[Line], now: Sequence[Line]) -> Change:
    """A change of lines of one text: ``was`` and ``now`` are copies of one line each."""
    lines = (*was[:1], *now[:1])
    length = bucket.length
    if length == LIST or bucket.repeated:
        length = max(_common(lines), length, 1) if was and now else max(length, 1)
    rest = [line.shown(length) for line in lines]
    often = f" {len(was or now)} times" if len(was or now) > 1 else ""
    if was and now:
        text = " → ".join(one or _EMPTY for one in rest) + often
    else:
        text = f"{'gone' if was else 'appeared'}{often}" + (f": {rest[0]}" if rest[0] else "")
    subject = _named_in(bucket.scope, lines[0].shown(0, length))
    before, after = (tuple(line.place for line in side) for side in (was, now))
    return Change(Weight.REST, subject, text, (), before, after)


def _common(lines: Sequence[Line]) -> int:
    """How many leading words two lines share, at least one word of each left over."""
    first, second = (line.words for line in lines)
    pairs = zip(first[:-1], second[:-1], strict=False)
    return next((n for n, (one, other) in enumerate(pairs) if one != other), min(len(first), len(second)) - 1)


def _named_in(scope: Scope, name: str) -> str:
    """``[link A] jobs``; ``interface lan1 / address``."""
    name = name or _EMPTY
    outer = " / ".join(scope[1:] if scope and scope[0].startswith("[") else scope)
    section = f"{scope[0]} " if scope and scope[0].startswith("[") else ""
    return f"{section}{outer} / {name}" if outer else f"{section}{name}"
