"""The report of a build sheet alone: what speaks against it, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from cfgaudit.audit.finding import Audit, Weighed
from cfgaudit.audit.left_out import LeftOut
from cfgaudit.model.path import dotted
from cfgaudit.report.audit import accepted_lines, holding_lines, unheeded_lines, weighed_line
from cfgaudit.report.finding import finding_lines
from cfgaudit.report.foot import caution_lines, tally_spans
from cfgaudit.report.paper import BuildPaper
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, one_line, wrapped

_LABEL = 10  # columns of "write", "rules", … before what they label
_INDENT = 4
_BLANK: Line = ()


def build_text(
    paper: BuildPaper,
    audit: Audit,
    left_out: Sequence[LeftOut],
    style: Style = PLAIN,
    *,
    show_why: bool = True,
) -> Iterator[str]:
    """The report: findings as in an audit, then each path that rules wait for."""
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    lines = chain(
        _head(paper, audit.weighed),
        chain.from_iterable(finding_lines(one, "", show_why, show_mend=False) for one in findings),
        accepted_lines(audit.accepted),
        unheeded_lines(audit.unheeded),
        _nothing_found(audit) if not findings else (),
        _left_out(left_out) if left_out else (),
        _foot(audit, left_out),
    )
    return map(painter(style), lines)


def _head(paper: BuildPaper, weighed: Iterable[Weighed]) -> Iterator[Line]:
    build = paper.build
    yield (
        ("strong", f"{build.craft or 'craft not named'} · the build sheet alone"),
        ("quiet", f" · checked with cfgaudit {paper.tool_version}"),
    )
    yield (("plain", f"{build.file}: {counted(build.devices, 'device')}, {counted(build.motors, 'motor')}"),)
    yield from ((("plain", f"{build.file}: {one_line(note)}"),) for note in build.notes)
    yield from map(weighed_line, weighed)
    yield _BLANK


def _nothing_found(audit: Audit) -> Iterator[Line]:
    if not audit.holding and not audit.accepted:
        yield (("strong", "No findings, but no rule could be judged: the sheet alone says too little."),)
        yield _BLANK
        return
    besides = "No findings but the accepted ones" if audit.accepted else "No findings"
    said = f"{besides}: the sheet does not speak against itself. These rules hold, whatever the dump:"
    yield (("strong", said),)
    yield from holding_lines(audit)


def _left_out(gaps: Sequence[LeftOut]) -> Iterator[Line]:
    yield (("strong", "What the sheet leaves out, and what waits for it"),)
    yield _BLANK
    for gap in gaps:
        about = f" ({gap.about})" if gap.about else ""
        waits = "rule waits" if len(gap.rules) == 1 else "rules wait"
        yield (("strong", f"  {dotted(gap.path)}{about}"), ("plain", f": {len(gap.rules)} {waits} for it"))
        yield from _told("what", gap.meaning)
        if gap.reason:
            yield from _told("but", f"{gap.reason} ({gap.where})")
        else:
            yield from _told("write", f"{_below(gap)}, for example")
            yield ((("plain", " " * (_INDENT + _LABEL)), ("plain", gap.line)))
        yield from _told("rules", ", ".join(gap.rules))
        yield _BLANK


def _below(gap: LeftOut) -> str:
    if not gap.below:
        return f"at the left margin of {gap.where.file}"
    block = gap.about if gap.about and len(gap.below) == 2 else dotted(gap.below)
    return f"below {block} at {gap.where}"


def _told(label: str, text: str) -> Iterator[Line]:
    for line in wrapped(text, _INDENT + _LABEL):
        yield (("plain", " " * _INDENT), ("quiet", f"{label:<{_LABEL}}"), ("plain", line))
        label = ""


def _foot(audit: Audit, gaps: Sequence[LeftOut]) -> Iterator[Line]:
    waiting = len({rule for gap in gaps for rule in gap.rules})
    waits = f"{counted(waiting, 'rule')} {'waits' if waiting == 1 else 'wait'}"
    yield (
        *tally_spans(tally(audit)),
        (
            "plain",
            f" · {waits} for {counted(len(gaps), 'path')} left out" if gaps else " · nothing is left out",
        ),
    )
    yield (("plain", "All other rules need a dump: cfgaudit audit DUMP --build SHEET"),)
    yield from caution_lines(audit)
