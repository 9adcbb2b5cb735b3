"""A mend as changes of the dump's own lines, where that says just what typing the mend says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.row import Desk, Unwritable, line
from cfgaudit.dialect.write import rows, write
from cfgaudit.dump.capture import cleaned, without_echo
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value

_LONE = re.compile(r"\r(?!\n)")  # ends a line here, but not in every program


class Replacement(Struct, frozen=True):
    """A part of a line and what to put there: columns count characters from 1, ``end`` is behind the last."""

    line: int
    start: int
    end: int
    text: str


def in_place(reading: Reading, wanted: Mapping[Path, Value]) -> tuple[Replacement, ...]:
    """The lines in force that change, each with its new text; () if this cannot be done just so.

    Nothing is left to hope: the text with the new lines is read again, and has to say what the dump
    says after the mend is typed. Blanks before a line and remarks behind it stay.
    """
    source = reading.dump.source
    if source.encoding != "utf-8" or _LONE.search(source.original or source.text):
        return ()
    desk, new = Desk(reading), []
    try:
        for _, row in rows(reading, wanted):
            if isinstance(row, Unwritable) or row.entry is None or row.entry.factory or row.opens:
                return ()
            old = row.entry.statement
            text = line(desk, row)
            if not text.isprintable():
                return ()
            new.append(Replacement(old.line, old.spans[0] + 1, old.spans[-1] + 1, text))
    except Unwritable:
        return ()
    changes = tuple(sorted(new, key=lambda one: one.line))
    return changes if changes and _says_the_same(reading, wanted, changes) else ()


def replaced(text: str, changes: Iterable[Replacement]) -> str:
    """The text with its lines changed; only CR LF and LF end a line."""
    every = text.split("\n")
    for one in changes:
        whole = every[one.line - 1]
        every[one.line - 1] = whole[: one.start - 1] + one.text + whole[one.end - 1 :]
    return "\n".join(every)


def _says_the_same(reading: Reading, wanted: Mapping[Path, Value], changes: tuple[Replacement, ...]) -> bool:
    source, known = reading.dump.source, reading.recognition
    text = replaced(source.original or source.text, changes)
    fresh = cleaned(replace(source, text=text, original="", notes=()))
    seen = as_dialect(fresh, known.dialect)
    if (seen.extent, seen.version) != (known.extent, known.version):
        return False
    again = read_dump(without_echo(fresh, known.dialect.dump_with), known)
    typed = pasted(reading, Text("the mend", "\n".join(write(reading, wanted).lines), "utf-8", mark=False))
    return _said(again) == _said(typed)


def _said(reading: Reading) -> object:
    """All that a reading says, without places."""
    model = reading.model
    return (
        {path: leaf.value for path, leaf in model.leaves.items()},
        {name: leaf.value for name, leaf in model.settings.items()},
        sorted((one.setting, one.text, one.why) for one in reading.doubts),
        sorted(one.shown for one in reading.unknown),
    )
