"""The report of a preset that was typed: what took effect, what did not, what changed beside it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from cfgaudit.compare.preset.arrived import Applied, Arrived, Outcome
from cfgaudit.dialect.typed import Session
from cfgaudit.report.audit import accepted_lines
from cfgaudit.report.diff import group_lines
from cfgaudit.report.finding import BLANK, labelled
from cfgaudit.report.foot import caution_lines, tally_spans
from cfgaudit.report.preset.paper import PresetPaper
from cfgaudit.report.preset.parts import (
    Told,
    brief_lines,
    brought_lines,
    head_lines,
    heading,
    told_lines,
    without_remark,
)
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, one_line

NOBODY = "not by a line of the preset"


def preset_after_text(
    paper: PresetPaper, done: Applied, style: Style = PLAIN, *, show_why: bool = True
) -> Iterator[str]:
    """What came of a preset. ``show_why`` gives each finding the first sentence of its reason."""
    session, effect = done.session, done.effect
    keep = paper.after[0].keep_with if paper.after else paper.before.keep_with
    own = [one for one in effect.brought if one.lines]
    others = [one for one in effect.brought if not one.lines]
    lines = chain(
        head_lines(paper, done.otherwise, done.after.weighed, "checked"),
        _took(done),
        _missing(done),
        told_lines("Could not take effect", (_told(one, session) for one in done.of(Outcome.NEVER))),
        _beside(done),
        brought_lines("The preset brought", own, session, keep, show_why, show_mend=True),
        brought_lines(
            "New, and not by a line of the preset:", others, session, keep, show_why, show_mend=True
        )
        if others
        else (),
        brief_lines("Mended since", effect.mended, session, NOBODY),
        brief_lines("Left as it was", effect.left, session),
        accepted_lines(done.after.accepted),
        _foot(done),
    )
    return map(painter(style), lines)


def _took(done: Applied) -> Iterator[Line]:
    took, stood = done.of(Outcome.TOOK), done.of(Outcome.STOOD)
    already = f"; {counted(len(stood), 'line')} asked for what was so already" if stood else ""
    yield heading(f"Took effect: {counted(len(took), 'line') if took else 'no line'}{already}")
    numbers = ", ".join(str(one.typed.statement.line) for one in took)
    if took:
        yield (("quiet", f"  {'line' if len(took) == 1 else 'lines'} {numbers}"),)
    yield BLANK


def _missing(done: Applied) -> Iterator[Line]:
    missing = done.of(Outcome.MISSING)
    if missing:
        yield heading(f"Did not take effect: {counted(len(missing), 'line')}")
    for one in missing:
        line = one.typed.statement
        rows = [
            (str(line.place), without_remark(done.session, line)),
            *((str(at.origin), at.text) for at in one.now),
        ]
        width = max(len(safe(where)) for where, _ in rows)
        shown: list[Line] = [
            (("quiet", f"{safe(where):<{width}}   "), ("plain", one_line(text))) for where, text in rows
        ]
        yield from labelled("preset", shown[:1])
        yield from labelled("now", shown[1:])
        yield from labelled("perhaps", [(("plain", one_line(why)),) for why in one.why])
    if missing:
        yield BLANK


def _told(one: Arrived, session: Session) -> Told:
    return Told(one.typed.statement.place, without_remark(session, one.typed.statement), "; ".join(one.why))


def _beside(done: Applied) -> Iterator[Line]:
    changes = done.beside.changes
    yield heading("Changed beside it" if changes else "Nothing changed beside it")
    yield from group_lines(changes, every=False) if changes else (BLANK,)


def _foot(done: Applied) -> Iterator[Line]:
    counts, not_judged = tally_spans(tally(done.after)), len(done.after.not_judged)
    yield (("plain", "Now: "), *counts, ("plain", f" · {not_judged} not judged"))
    yield from caution_lines(done.after)
