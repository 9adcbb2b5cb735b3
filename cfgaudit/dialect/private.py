"""Values that no report may show: where they stand in a text, in lines put out of use as well."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Entry
from cfgaudit.dialect.seal import FACT, is_seal
from cfgaudit.dialect.sort import sort
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place


def private_values(entries: Iterable[Entry]) -> Iterator[tuple[str, Place]]:
    """Setting and place of each, in lines that a later one overrules as well: they are in the file."""
    for entry in entries:
        for name, text in entry.texts.items():
            if entry.form.cells[name].private and not tells_nothing(entry.form.cells[name], text):
                yield entry.label, entry.place_of(name)


def private_lines(dialect: Dialect, unknown: Iterable[Statement]) -> Iterator[tuple[str, Place]]:
    """Lines that name a private setting and are not understood: what they hold may be its value."""
    named = _named(dialect)
    for statement in unknown if dialect.private_names else ():
        if found := named.search(statement.text):
            yield found[0], statement.place


def _named(dialect: Dialect) -> re.Pattern[str]:
    """What finds the name of a private setting; nothing if there is none."""
    if not dialect.private_names:
        return re.compile(r"(?!)")
    names = "|".join(map(re.escape, sorted(dialect.private_names)))
    return re.compile(rf"(?<![\w.-])(?:{names})(?![\w.-])")


def tells_nothing(cell: Cell, text: str) -> bool:
    """Whether a private cell is empty, sealed, or as it came from the factory."""
    if is_seal(text):
        return True
    try:
        return cell.codec.read(text) in ("", (), cell.default)
    except Misfit:
        return text == ""


def commented_out(dialect: Dialect, statements: Sequence[Statement]) -> Iterator[tuple[str, Place]]:
    """Remarks that are lines put out of use and hold a private value."""
    named = _named(dialect)
    remarks = {
        one.line
        for one in statements
        if one.kind is Kind.REMARK
        and (dialect.has_nameless_private or named.search(one.text))
        and not FACT.fullmatch(one.text.rstrip("\r\n"))
    }
    if not remarks:
        return
    bare = "".join(
        one.text.lstrip(" \t#~;") or "\n" if one.line in remarks else one.text for one in statements
    )
    told = sort(
        dialect,
        read_statements(Text(statements[0].file, bare, "utf-8", mark=False), dialect.family).statements,
    )
    assignments = (one for one in told.unknown if one.kind is Kind.ASSIGNMENT)
    for setting, place in (*private_values(told.entries), *private_lines(dialect, assignments)):
        if place.line in remarks:
            yield setting, replace(place, column=1)
