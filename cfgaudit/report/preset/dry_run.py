"""The report of a preset before it is typed: what it would do, what speaks against it, what fits instead."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from cfgaudit.audit.finding import Audit
from cfgaudit.compare.preset.adapt import Adapted, Kept
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.text import adapted_lines, commands
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.typed import Fate, Session
from cfgaudit.report.audit import accepted_lines
from cfgaudit.report.diff import group_lines
from cfgaudit.report.finding import BLANK
from cfgaudit.report.foot import caution_lines, tally_spans
from cfgaudit.report.preset.paper import PresetPaper
from cfgaudit.report.preset.parts import (
    Told,
    brief_line,
    brief_lines,
    brought_lines,
    head_lines,
    heading,
    told_lines,
    without_remark,
)
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, one_line


def preset_text(
    paper: PresetPaper, run: DryRun, style: Style = PLAIN, *, show_why: bool = True
) -> Iterator[str]:
    """What typing a preset would do. ``show_why`` gives each finding the first sentence of its reason."""
    session, effect = run.session, run.effect
    lines = chain(
        head_lines(paper, run.otherwise, run.after.weighed, "tried"),
        _changes(run),
        told_lines("Lines that do nothing here", _without_effect(run)),
        _unkept(run),
        brought_lines("It would bring", effect.brought, session, paper.before.keep_with, show_why, False),
        brief_lines("It would mend", effect.mended, session),
        brief_lines("It would leave as it is", effect.left, session),
        accepted_lines(run.after.accepted),
        _adapted(run),
        _foot(run),
    )
    return map(painter(style), lines)


def _changes(run: DryRun) -> Iterator[Line]:
    changes = run.changes.changes
    yield heading("What would change" if changes else "Nothing would change")
    yield from group_lines(changes, every=False) if changes else (BLANK,)


def _without_effect(run: DryRun) -> Iterator[Told]:
    for one in run.session.typed:
        if one.does_nothing:
            why = why_nothing(one, run.session.before, run.elsewhere)
            yield Told(one.statement.place, without_remark(run.session, one.statement), why)


def _unkept(run: DryRun) -> Iterator[Line]:
    keep = run.session.before.dialect.keep_with
    if any(one.fate is Fate.KEEPS for one in run.session.typed):
        told = (Told(one.statement.place, without_remark(run.session, one.statement)) for one in run.unkept)
        yield from told_lines(f"Lines behind the last “{keep}”: a restart loses them", told)
    elif run.unkept:
        yield (("warning", one_line(f"The preset does not say “{keep}”: a restart loses all that it sets.")),)
        yield BLANK


def _adapted(run: DryRun) -> Iterator[Line]:
    if not run.adapted.changed:
        yield heading("The preset fits as it is: nothing had to be adapted.")
        yield BLANK
        return
    yield heading(f"The preset as it fits this build: {adapted_words(run.adapted, run.session)}")
    yield BLANK
    for line in adapted_lines(run.session, run.adapted.parts, hide=True):
        yield (("plain", line),)
    yield BLANK
    yield from _then(run.adapted.audit)
    yield BLANK


def adapted_words(adapted: Adapted, session: Session) -> str:
    """``12 lines as they are, 4 replaced, 5 left out, 2 added``: remarks and what keeps are not counted."""
    typed = {one.statement.line for one in session.typed} - commands(session)
    kept = [one.kept for one in adapted.parts if not one.was or one.was[0].line in typed]
    first = counted(kept.count(Kept.AS_IT_IS), "line")
    words = [f"{first} as {'it is' if first == '1 line' else 'they are'}"]
    others = (Kept.REPLACED, Kept.LEFT_OUT, Kept.ADDED)
    return ", ".join([*words, *(f"{kept.count(one)} {one.value}" for one in others if one in kept)])


def _then(audit: Audit) -> Iterator[Line]:
    if not audit.findings:
        yield (("strong", "Typed instead of the preset, an audit finds nothing."),)
        return
    yield (("strong", "Typed instead of the preset, an audit still finds:"),)
    for one in sorted(audit.findings, key=lambda finding: finding.level.rank):
        yield brief_line(one, "")


def _foot(run: DryRun) -> Iterator[Line]:
    not_judged = len(run.after.not_judged)
    counts = tally_spans(tally(run.after))
    yield (("plain", "The preset as it came: "), *counts, ("plain", f" · {not_judged} not judged"))
    yield from caution_lines(run.after)
