"""A preset as plain data: what it would do, or what came of it."""

from __future__ import annotations

from collections.abc import Iterable

from cfgaudit.audit.finding import Audit
from cfgaudit.compare.preset.adapt import Adapted, Part
from cfgaudit.compare.preset.arrived import Applied, Arrived, Outcome
from cfgaudit.compare.preset.meant import Otherwise
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.compare.preset.trace import Effect, Traced
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.typed import Session, Typed
from cfgaudit.dump.statement import Statement
from cfgaudit.model.model import HIDDEN
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import (
    of_build,
    of_cautions,
    of_change,
    of_dump,
    of_finding,
    of_origin,
    of_sight,
    of_tally,
    of_terms,
    report_of,
)
from cfgaudit.report.cautions import AUDIT_LIMIT, hazards_in, told
from cfgaudit.report.preset.paper import PresetHead, PresetPaper
from cfgaudit.report.preset.parts import by_level
from cfgaudit.report.tally import tally


def preset_json(paper: PresetPaper, run: DryRun) -> Json:
    """What typing a preset would do, in the order of the text."""
    session = run.session
    return report_of(
        "preset",
        paper.tool_version,
        {
            "preset": _head(paper.preset),
            "before": of_dump(paper.before),
            "build": of_build(paper.build),
            "made_otherwise": _otherwise(run.otherwise),
            "changes": [of_change(one) for one in run.changes.changes],
            "does_nothing": [
                {
                    **_typed(one, session),
                    "fate": one.fate.value,
                    "reason": why_nothing(one, session.before, run.elsewhere),
                }
                for one in session.typed
                if one.does_nothing
            ],
            "unkept": [_typed(one, session) for one in run.unkept],
            **_effect(run.effect, session),
            "counts": of_tally(tally(run.after)),
            **of_terms(run.after),
            "adapted": _adapted(run.adapted, session),
            "cautions": _cautions(run.after),
        },
    )


def preset_after_json(paper: PresetPaper, done: Applied) -> Json:
    """What came of a preset, in the order of the text."""
    session = done.session
    return report_of(
        "preset-after",
        paper.tool_version,
        {
            "preset": _head(paper.preset),
            "before": of_dump(paper.before),
            "after": of_dump(paper.after[0]),
            "build": of_build(paper.build),
            "made_otherwise": _otherwise(done.otherwise),
            "took_effect": [_typed(one.typed, session) for one in done.of(Outcome.TOOK)],
            "was_so": [_typed(one.typed, session) for one in done.of(Outcome.STOOD)],
            "did_not": [_arrived(one, session) for one in done.of(Outcome.MISSING)],
            "could_not": [_arrived(one, session) for one in done.of(Outcome.NEVER)],
            "beside": [of_change(one) for one in done.beside.changes],
            **_effect(done.effect, session),
            "counts": of_tally(tally(done.after)),
            **of_terms(done.after),
            "cautions": _cautions(done.after),
        },
    )


def _head(head: PresetHead) -> Json:
    return {"file": head.file, "lines": head.lines, "notes": [*head.notes]}


def _otherwise(otherwise: Iterable[Otherwise]) -> Json:
    return [{"text": one.text, "where": of_origin(one.origin)} for one in otherwise]


def _line(statement: Statement, session: Session) -> dict[str, Json]:
    return {"text": session.shown(statement), "where": of_origin(statement.place)}


def _typed(one: Typed, session: Session) -> dict[str, Json]:
    return _line(one.statement, session)


def _arrived(one: Arrived, session: Session) -> Json:
    return {
        **_typed(one.typed, session),
        "now": [of_sight(sight) for sight in one.now],
        "reasons": [*one.why],
    }


def _effect(effect: Effect, session: Session) -> dict[str, Json]:
    return {
        "brought": [_traced(one, session) for one in by_level(effect.brought)],
        "mended": [_traced(one, session) for one in by_level(effect.mended)],
        "left": [_traced(one, session) for one in by_level(effect.left)],
    }


def _traced(one: Traced, session: Session) -> Json:
    return {
        "finding": of_finding(one.finding),
        "lines": [_line(statement, session) for statement in one.lines],
    }


def _adapted(adapted: Adapted, session: Session) -> Json:
    return {
        "fits_as_it_is": not adapted.changed,
        "parts": [_part(one, session) for one in adapted.parts],
        "lines": [*adapted_lines(session, adapted.parts, hide=True)],
        "findings": [
            of_finding(one) for one in sorted(adapted.audit.findings, key=lambda one: one.level.rank)
        ],
    }


def _part(part: Part, session: Session) -> Json:
    private = any(one.line in session.private for one in part.was)
    return {
        "kept": part.kept.value,
        "line": HIDDEN if private and part.line else part.line,
        "was": [_line(one, session) for one in part.was],
        "reasons": [*part.reasons],
    }


def _cautions(audit: Audit) -> Json:
    return of_cautions(hazards_in(told(audit)), AUDIT_LIMIT)
