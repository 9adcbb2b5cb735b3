"""The report of a comparison for people at a terminal: what changed, what can hurt first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from cfgaudit.compare.change import Change, Weight
from cfgaudit.model.place import Default, Origin
from cfgaudit.report.cautions import DIFF_LIMIT, STANDING
from cfgaudit.report.finding import BLANK
from cfgaudit.report.foot import hazard_lines
from cfgaudit.report.paper import Comparison, DiffPaper
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Role, Style, painter
from cfgaudit.report.words import counted, firmware_words, one_line, packed, reading_words

_UNTOLD = (
    "Compared without a dialect: by the names and leading cells of the lines. "
    "What a change can do is not known."
)
_PLACES = 3  # of a row that sums up more, the first: the others lie near it, and would run off the screen


def diff_text(paper: DiffPaper, comparison: Comparison, style: Style = PLAIN) -> Iterator[str]:
    """What changed between two dumps, what can hurt first."""
    changes = comparison.changes
    told = bool(paper.before.dialect and paper.after.dialect)
    lines = chain(
        _head(paper, len(changes), told),
        group_lines(changes, told),
        _foot(changes),
    )
    return map(painter(style), lines)


def _head(paper: DiffPaper, changes: int, told: bool) -> Iterator[Line]:
    before, after = paper.before, paper.after
    settings = counted(after.settings, "setting")
    if before.settings != after.settings:
        settings = f"{before.settings} → {settings}"
    number = counted(changes, "change") if changes else "no changes"
    yield (
        ("strong", f"{before.file} → {after.file} · {number} in {settings}"),
        ("quiet", f" · compared with cfgaudit {paper.tool_version}"),
    )
    width = max(len(safe(before.file)), len(safe(after.file)))
    for head in (before, after):
        yield (("quiet", f"  {safe(head.file):<{width}}   {firmware_words(head)}, {reading_words(head)}"),)
        yield from ((("plain", f"  {' ' * width}   {one_line(note)}"),) for note in head.notes)
    if not told:
        yield (("plain", _UNTOLD),)
    if before.extent != after.extent:
        yield (("warning", "The extents differ: what stands in one file alone may be a default."),)
    yield BLANK


def group_lines(changes: Sequence[Change], told: bool = True, every: bool = True) -> Iterator[Line]:
    """Changes under their weights, the weightiest first; without weights if no dialect tells them.

    ``every``: a weight that no change has is named too.
    """
    widths = (
        min(24, max((len(safe(one.subject)) for one in changes), default=0)),
        min(60, max((len(safe(one_line(one.text))) for one in changes), default=0)),
    )
    if changes and not told:
        yield (("strong", "changes"),)
        yield from (_change(one, *widths) for one in changes)
    for weight in Weight if changes and told else ():
        group = [one for one in changes if one.weight is weight]
        if not (group or every):
            continue
        role: Role = "error" if group and weight is Weight.HURT else "strong"
        yield ((role, weight.value),)
        yield from (_change(one, *widths) for one in group)
        if not group:
            yield (("quiet", "  nothing"),)
    if changes:
        yield BLANK


def _change(change: Change, subject: int, text: int) -> Line:
    effect = f"   takes effect {change.effect}" if change.effect else ""
    return (
        ("strong", f"  {safe(change.subject):<{subject}}"),
        ("plain", f"   {safe(one_line(change.text)):<{text}}"),
        ("quiet", f"   {_where(change)}"),
        ("warning", effect),
    )


def _where(change: Change) -> str:
    now, then = _places(change.after), _places(change.before)
    if not change.after:
        return f"was {then}"
    gone = then and all(isinstance(origin, Default) for origin in change.after)
    return f"{now}, was {then}" if gone and then != now else now


def _places(origins: Iterable[Origin]) -> str:
    every = [*dict.fromkeys(map(str, origins))]
    if len(every) > _PLACES:
        return f"{every[0]} and {len(every) - 1} more places"
    return ", ".join(every)


def _foot(changes: Sequence[Change]) -> Iterator[Line]:
    if any(change.weight is Weight.HURT for change in changes):
        yield from hazard_lines(["propellers"])
    if changes:
        yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", DIFF_LIMIT),)
