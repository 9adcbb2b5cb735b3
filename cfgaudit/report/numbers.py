"""The report of numbers: each figure with its sum and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING
from cfgaudit.report.paper import AuditPaper
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.words import packed

_WIDTH = 120  # columns; a longer sum goes below its figure
_BLANK: Line = ()
_ROOTS = {"build": "build sheet", "model": "dump"}


def numbers_text(paper: AuditPaper, tables: Sequence[Table], style: Style = PLAIN) -> Iterator[str]:
    """The figures of each subject as a table, with their sources below it."""
    yield from map(painter(style), _lines(paper, tables))


def _lines(paper: AuditPaper, tables: Sequence[Table]) -> Iterator[Line]:
    dump, build = paper.dump, paper.build
    firmware = " ".join(filter(None, (dump.firmware, dump.version)))
    yield (
        ("strong", f"{build.craft or dump.file} · {firmware or 'firmware not named'}"),
        ("quiet", f" · {dump.file}, {build.file} · reckoned with cfgaudit {paper.tool_version}"),
    )
    for note in (*dump.notes, *build.notes):
        yield (("plain", f"  {note}"),)
    for table in tables:
        yield _BLANK
        yield (("strong", f"{table.subject}"), ("plain", f"  {table.title}"))
        yield from _table(table)
    yield _BLANK
    yield from ((("plain", caution),) for caution in packed(STANDING))
    yield (("strong", AUDIT_LIMIT),)


def _table(table: Table) -> Iterator[Line]:
    if not table.rows:
        yield (("quiet", "  nothing to reckon: neither the dump nor the build sheet speaks of it"),)
        return
    sources = [*dict.fromkeys(row.source for row in table.rows if row.source)]
    widths = tuple(max(len(safe(cell(row))) for row in table.rows) for cell in (_about, _what, _amount))
    last = ""
    for row in table.rows:
        about = "" if row.about == last else row.about
        last = row.about
        yield from _row(row, about, widths, sources)
    for number, source in enumerate(sources, 1):
        yield (("quiet", f"  [{number}] {source}"),)


def _row(row: Quantity, about: str, widths: Sequence[int], sources: Sequence[str]) -> Iterator[Line]:
    start = f"  {safe(about):<{widths[0]}}  {safe(row.what):<{widths[1]}}  "
    mark = f" [{sources.index(row.source) + 1}]" if row.source else ""
    if isinstance(row.value, Missing):
        yield (("plain", start), ("warning", _gap(row.value)), ("quiet", mark))
        return
    amount = f"{safe(_amount(row)):<{widths[2]}}"
    fits = len(start) + len(amount) + len(row.sum) + len(mark) + 2 <= _WIDTH
    if row.sum and fits:
        yield (("plain", start), ("strong", amount), ("plain", f"  {row.sum}"), ("quiet", mark))
        return
    yield (("plain", start), ("strong", amount.rstrip()), ("quiet", mark))
    if row.sum:
        yield (("plain", f"  {'':<{widths[0]}}    {row.sum}"),)


def _about(row: Quantity) -> str:
    return row.about


def _what(row: Quantity) -> str:
    return row.what


def _amount(row: Quantity) -> str:
    """The value with its unit, as people read it."""
    if isinstance(row.value, Missing):
        return ""
    if isinstance(row.value, bool):
        return "yes" if row.value else "no"
    said = row.value if isinstance(row.value, str) else figure(row.value)
    return f"{said} {row.unit}".strip()


def _gap(missing: Missing) -> str:
    if missing.reason:
        return f"not to be had: {missing.reason}"
    return f"needs {' and '.join(_place(path) for path in missing.needs)}"


def _place(path: str) -> str:
    """``build.board.chip`` → where a builder would write it."""
    root, _, rest = path.partition(".")
    return f"{rest} in the {_ROOTS[root]}" if root in _ROOTS else path
