"""How many leading words of a group's rows tell them apart."""

from __future__ import annotations

from collections.abc import Collection

Words = tuple[str, ...]

MOST = 4  # a keyword and up to three cells
_FEW = 4  # one repeated line in so many is one typed again below, not another shape

LIST = 0  # no leading words tell the rows apart


def key_length(before: Collection[Words], after: Collection[Words]) -> int:
    """The shortest run of leading words that is unique in both files, or ``LIST``.

    Rows are those of one keyword, each once. A key leaves a value behind it in at least one row:
    rows that are nothing but keys are a list. If there is no such run, the shortest that is unique
    but for a few rows: lines are typed again below others to change them.
    """
    widest = max(map(len, (*before, *after)), default=1)
    lengths = range(1, min(MOST, max(widest - 1, 1)) + 1)
    repeats = [(_repeats(before, length), _repeats(after, length)) for length in lengths]
    for length, counts in zip(lengths, repeats, strict=True):
        if counts == (0, 0):
            return length
    for length, (had, has) in zip(lengths, repeats, strict=True):
        if had * _FEW <= len(before) and has * _FEW <= len(after):
            return length
    return LIST


def _repeats(rows: Collection[Words], length: int) -> int:
    return len(rows) - len({row[:length] for row in rows})
