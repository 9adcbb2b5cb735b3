"""The bench list as Markdown: boxes that can be ticked where Markdown is shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.audit.bench.step import Stage, Step
from cfgaudit.report.bench.worklist import Item, Reason, heading, items, opening, sources
from cfgaudit.report.cautions import BENCH_LIMIT, STANDING
from cfgaudit.report.markdown import fenced, plain
from cfgaudit.report.paper import BenchPaper
from cfgaudit.report.safe import safe


def bench_markdown(paper: BenchPaper, steps: Sequence[Step]) -> Iterator[str]:
    """The list, stage by stage: CommonMark with the boxes of task lists."""
    yield f"# {plain(heading(paper))}"
    yield ""
    yield from (f"- {plain(line)}" for line in sources(paper))
    yield f"- made with cfgaudit {plain(paper.tool_version)}"
    for sentence in opening(paper, steps):
        yield ""
        yield plain(sentence)
    for stage, inside in items(steps):
        yield from _stage(stage)
        for item in inside:
            yield from _item(item)
    yield ""
    yield "---"
    for sentence in (*STANDING, BENCH_LIMIT):
        yield ""
        yield plain(sentence)


def _stage(stage: Stage) -> Iterator[str]:
    yield ""
    yield f"## {stage.number} {plain(stage.title)}"
    yield ""
    if stage.note:
        yield plain(stage.note)
        yield ""


def _item(item: Item) -> Iterator[str]:
    step = item.step
    yield f"- [ ] **{plain(item.number)}** {plain(step.do)}"
    yield from (f"  - [ ] {plain(row)}" for row in step.rows)
    if step.lines:
        yield ""
        if any(safe(line) != line for line in step.lines):
            yield "  Do not paste these: what a backslash stands before is only written out."
            yield ""
        yield from (f"  {line}" for line in fenced(step.lines))
        yield ""
    yield f"  - **see:** {plain(step.see)}"
    yield f"  - **if not:** {plain(step.if_not)}"
    yield from (f"  - {_reason(reason)}" for reason in item.reasons)


def _reason(reason: Reason) -> str:
    said = f"{reason.text} ({reason.where})" if reason.text and reason.where else reason.text or reason.where
    return f"**for {', '.join(map(str, reason.numbers))}:** {plain(said)}"
