"""The bench list for a screen or a printer: lines of text, a box for everything to be done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.audit.bench.step import Stage, Step
from cfgaudit.report.bench.worklist import Item, Reason, heading, items, opening, sources
from cfgaudit.report.cautions import BENCH_LIMIT, STANDING
from cfgaudit.report.paper import BenchPaper
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.words import WIDTH, packed, wrapped

_BOX = "[ ] "
_INDENT = 10  # columns before a step's words
_MARK = 4  # columns that what follows a reason's number is set in
_LABEL = 9  # columns of "see", "if not", … before what they label
_BLANK: Line = ()


def bench_text(paper: BenchPaper, steps: Sequence[Step], style: Style = PLAIN) -> Iterator[str]:
    """The list, stage by stage."""
    return map(painter(style), _lines(paper, steps))


def _lines(paper: BenchPaper, steps: Sequence[Step]) -> Iterator[Line]:
    yield (("strong", heading(paper)), ("quiet", f" · made with cfgaudit {paper.tool_version}"))
    yield from ((("plain", line),) for line in sources(paper))
    yield from ((("plain", line),) for sentence in opening(paper, steps) for line in wrapped(sentence, 0))
    for stage, inside in items(steps):
        yield _BLANK
        yield from _stage(stage)
        for item in inside:
            yield from _item(item)
    yield _BLANK
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", BENCH_LIMIT),)


def _stage(stage: Stage) -> Iterator[Line]:
    yield (("strong", f"{stage.number}  {stage.title}"),)
    if stage.note:
        yield from ((("plain", f"   {line}"),) for line in wrapped(stage.note, 3))


def _item(item: Item) -> Iterator[Line]:
    step = item.step
    yield _BLANK
    first, *more = wrapped(step.do, _INDENT)
    yield (("plain", f"{_BOX}{safe(item.number):<{_INDENT - len(_BOX)}}"), ("strong", first))
    yield from ((("strong", f"{' ' * _INDENT}{line}"),) for line in more)
    for row in step.rows:
        first, *more = wrapped(row, _INDENT + 2 * len(_BOX))
        yield (("plain", f"{' ' * _INDENT}  {_BOX}{first}"),)
        yield from ((("plain", f"{' ' * _INDENT}  {' ' * len(_BOX)}{line}"),) for line in more)
    yield from _typed(step.lines)
    yield from _labelled("see", step.see)
    yield from _labelled("if not", step.if_not)
    for n, reason in enumerate(item.reasons):
        yield from _reason(reason, "for" if n == 0 else "")


def _typed(lines: Sequence[str]) -> Iterator[Line]:
    """Lines to type: whole, and alone on their line."""
    if any(safe(line) != line for line in lines):
        yield (
            ("warning", f"{' ' * _INDENT}do not paste these: what a \\ stands before is only written out"),
        )
    yield from ((("plain", f"{' ' * _INDENT}  {line}"),) for line in lines)


def _labelled(label: str, text: str) -> Iterator[Line]:
    for line in wrapped(text, _INDENT + _LABEL):
        yield (("plain", " " * _INDENT), ("quiet", f"{label:<{_LABEL}}"), ("plain", line))
        label = ""


def _reason(reason: Reason, label: str) -> Iterator[Line]:
    mark = "".join(f"[{number}] " for number in reason.numbers)
    indent = min(len(mark), _MARK)
    first, *more = _told(reason, mark, _INDENT + _LABEL + indent)
    yield (("plain", " " * _INDENT), ("quiet", f"{label:<{_LABEL}}{first}"))
    yield from ((("quiet", f"{' ' * (_INDENT + _LABEL + indent)}{line}"),) for line in more)


def _told(reason: Reason, mark: str, indent: int) -> Iterator[str]:
    """What was found or changed and where, on one line if that has room."""
    parts = [part for part in (reason.text, reason.where) if part] or [""]
    together = f"{mark}{' · '.join(parts)}"
    if len(safe(together)) + _INDENT + _LABEL <= WIDTH:
        yield safe(together)
        return
    for n, part in enumerate(parts):
        yield from wrapped(part if n else f"{mark}{part}", indent)
