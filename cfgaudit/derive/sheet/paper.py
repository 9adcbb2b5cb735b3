"""A draft as YAML: each line with what it was taken from, and what to look at before it is believed."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.derive.sheet.entry import Entry
from cfgaudit.dialect.draft.spell import remark as printable
from cfgaudit.model.written import key as written_key
from cfgaudit.model.written import written

WIDTH = 110  # columns of a line with its remark; a longer remark goes above
COLUMN_MOST = 40  # a remark begins no further to the right, if its own line is not longer
_REMARK = 106  # columns of running remarks
_APART = frozenset({"propeller"})  # lines at the left margin that belong to no block


def yaml_lines(entries: Iterable[Entry]) -> Iterator[str]:
    """The lines of a sheet. A line to fill in begins with a # and no blank after it."""
    yield from _block(tuple(entries), "", told=True)


def comment(text: str, indent: str = "", lead: str = "") -> Iterator[str]:
    """A remark in lines that can be read; ``lead`` stands before its first line."""
    width = max(40, _REMARK - len(indent) - 2)
    hang = " " * min(len(lead), 6)
    for line in textwrap.wrap(
        printable(lead + text), width, subsequent_indent=hang, break_long_words=False, break_on_hyphens=False
    ):
        yield f"{indent}# {line}"


def _block(entries: Sequence[Entry], indent: str, *, told: bool) -> Iterator[str]:
    """The lines of one block; their remarks stand in one column where they fit."""
    heads = [_head(one, indent, told) for one in entries]
    short = (len(head) for head, one in zip(heads, entries, strict=True) if not one.inner)
    column = max((length for length in short if length <= COLUMN_MOST), default=0)
    for head, one in zip(heads, entries, strict=True):
        if not one.key:
            yield from comment(one.look, indent)
            yield from _sources(one.taken, indent)
            continue
        if not indent and (one.inner or one.key in _APART):
            yield ""
        stands = told and one.stands
        above, beside = _remarks(one, stands)
        fits = bool(beside) and max(column, len(head)) + len(beside) + 4 <= WIDTH and not one.inner
        for lead, text in above:
            yield from comment(text, indent, lead)
        if beside and not fits:
            yield from comment(beside, indent)
        yield f"{head:<{column}}  # {beside}" if fits else head
        yield from _block(one.inner, indent + ("    " if one.item else "  "), told=stands)


def _head(entry: Entry, indent: str, told: bool) -> str:
    sign = "" if told and entry.stands else "#"
    dash = "- " if entry.item else ""
    start = f"{indent}{sign}{dash}{written_key(entry.key)}:"
    empty = entry.inner or (entry.item and entry.value is None)
    return start if empty else f"{start} {written(entry.value)}"


def _remarks(entry: Entry, stands: bool) -> tuple[tuple[tuple[str, str], ...], str]:
    """The remarks above a line, each with its lead, and the one beside it."""
    taken = printable(_lines(entry.taken))
    if not stands and not entry.inner:
        return (), f"{printable(entry.look)} ({taken})" if entry.look and taken else printable(
            entry.look
        ) or taken
    return ((("look: ", entry.look),) if entry.look else ()), taken


def _lines(taken: Sequence[str]) -> str:
    if not taken:
        return ""
    numbered = [one for one in taken if one[:1].isdecimal()]
    word = "line" if len(numbered) == 1 else "lines"
    return f"{word} {' | '.join(taken)}" if numbered else " | ".join(taken)


def _sources(taken: Sequence[str], indent: str) -> Iterator[str]:
    if taken:
        yield from comment(_lines(taken), indent)
