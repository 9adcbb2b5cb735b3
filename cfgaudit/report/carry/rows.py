"""How settings stand below each other in the report of a firmware update."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.compare.carry.three import NotTold, Side
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line, Role
from cfgaudit.report.words import one_line

NAME, TEXT = 34, 44  # the widest that columns grow


class Row(Struct, frozen=True):
    """A setting, what is said of it, and where it is written."""

    name: str
    text: str
    where: str = ""
    more: str = ""


def heading(text: str, role: Role = "strong") -> Line:
    """What stands above a part of the report."""
    return ((role, text),)


def row_lines(rows: Iterable[Row], indent: int = 2) -> Iterator[Line]:
    """Settings in columns."""
    rows = tuple(rows)
    name = min(NAME, max((len(safe(row.name)) for row in rows), default=0))
    text = min(TEXT, max((len(safe(one_line(row.text))) for row in rows), default=0))
    more = min(TEXT, max((len(safe(one_line(row.more))) for row in rows), default=0))
    for row in rows:
        said = f"   {safe(one_line(row.more)):<{more}}" if more else ""
        yield (
            ("strong", f"{' ' * indent}{safe(row.name):<{name}}"),
            ("plain", f"   {safe(one_line(row.text)):<{text}}{said}"),
            ("quiet", f"   {row.where}" if row.where else ""),
        )


def origin_of(side: Side) -> str:
    """Where a setting is written, "" if nowhere."""
    return "" if isinstance(side, NotTold) else str(side.origin)
