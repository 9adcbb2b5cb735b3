"""A firmware update as plain data for other programs: all that the report for people says."""

from __future__ import annotations

from cfgaudit.compare.carry.arrived import Arrival, Landed
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.checked import Checked
from cfgaudit.compare.carry.fate import DOUBTFUL, SURE, Carried, Fate, Moved, Proposal
from cfgaudit.compare.carry.three import NotTold, Side, Triple
from cfgaudit.compare.carry.words import told, unsaid_lines
from cfgaudit.dialect.write import Lines
from cfgaudit.model.path import dotted
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import (
    of_build,
    of_cautions,
    of_change,
    of_dump,
    of_finding,
    of_origin,
    of_tally,
    of_terms,
    report_of,
)
from cfgaudit.report.carry.paper import CarryPaper, Update
from cfgaudit.report.carry.script import script_lines, wait_of
from cfgaudit.report.carry.words import (
    carry_hazards,
    doubt_words,
    from_words,
    missing_words,
    nearest_words,
    of_fate,
    otherwise_words,
    section_of,
    shift_words,
    weight_of,
)
from cfgaudit.report.cautions import CARRY_LIMIT
from cfgaudit.report.safe import safe
from cfgaudit.report.tally import tally


def carry_json(paper: CarryPaper, update: Update) -> Json:
    """An update planned, or checked once there is a later dump."""
    plan = update.plan
    fates = [one.fate for one in plan.carried]
    shifts = [one.shift for one in plan.moved]
    return report_of(
        "carry",
        paper.tool_version,
        {
            "old_factory": of_dump(paper.old),
            "mine": of_dump(paper.mine),
            "new_factory": of_dump(paper.new),
            "after": next(map(of_dump, paper.after), None),
            "build": next(map(of_build, paper.build), None),
            "notes": [{"text": one.text, "warns": one.warns} for one in paper.notes],
            "one_firmware": plan.one_firmware,
            "counts": {
                "carried_over": sum(fates.count(one) for one in SURE),
                "comes_anyway": fates.count(Fate.EQUAL),
                "doubtful": sum(fates.count(one) for one in DOUBTFUL if one is not Fate.UNSAID),
                "not_told": fates.count(Fate.UNSAID),
                "changed_without_you": len(shifts),
            },
            "changes": [_carried(one, update) for one in plan.carried],
            "moved": [_moved(one) for one in plan.moved],
            "not_told": [*unsaid_lines(of_fate(plan, Fate.UNSAID), plan.mine)],
            "not_understood": [
                {"origin": of_origin(one.place), "text": plan.mine.shown(one)} for one in plan.strange
            ],
            "audit": next((_checked(one, update) for one in update.checked), None),
            "script": _script(plan),
            "arrival": next(map(_arrival, update.arrival), None),
            "cautions": of_cautions(carry_hazards(update), CARRY_LIMIT),
        },
    )


def _triple(triple: Triple) -> dict[str, Json]:
    return {
        "setting": triple.named.label,
        "section": section_of(triple),
        "paths": [dotted(path) for path in triple.named.paths],
        "weight": weight_of(triple).value,
        "old_factory": _side(triple.old),
        "mine": _side(triple.mine),
        "new_factory": _side(triple.new),
    }


def _side(side: Side) -> Json:
    if isinstance(side, NotTold):
        return None
    return {"value": told(side), "line": side.line, "origin": of_origin(side.origin)}


def _carried(one: Carried, update: Update) -> Json:
    sure = one.fate in (*SURE, Fate.EQUAL)
    return {
        **_triple(one.triple),
        "fate": one.fate.value,
        "text": otherwise_words(one) if sure or one.fate is Fate.UNSAID else doubt_words(one, update.plan),
        "nearest": [*nearest_words(one)],
        "proposals": [_proposal(each) for each in one.proposals],
        "landed": next(
            (_landed(it) for arrival in update.arrival for it in arrival.landed if it.carried is one), None
        ),
    }


def _proposal(one: Proposal) -> Json:
    return {
        "setting": one.setting.label,
        "why": [*one.why],
        "likeness": one.likeness,
        "line": one.setting.line,
        "origin": of_origin(one.setting.origin),
    }


def _landed(one: Landed) -> Json:
    return {"there": one.there, "now": _side(one.now), "why": missing_words(one)}


def _moved(one: Moved) -> Json:
    return {**_triple(one.triple), "shift": one.shift.value, "text": shift_words(one)}


def _checked(checked: Checked, update: Update) -> Json:
    return {
        "counts": of_tally(tally(checked.after)),
        "brought": [
            {"finding": of_finding(one.finding), "from": [*from_words(one.about, update)]}
            for one in sorted(checked.brought, key=lambda it: it.finding.level.rank)
        ],
        "mended": [of_finding(one) for one in checked.mended],
        "left": [of_finding(one) for one in checked.left],
        **of_terms(checked.after),
        "mends": _lines(checked.remedy.lines),
    }


def _lines(mends: Lines) -> Json:
    return {
        "lines": [*mends.lines],
        "undo": [*mends.undo],
        "exact": all(safe(line) == line for line in (*mends.lines, *mends.undo)),
        "cannot": [*mends.cannot],
        "effect": _effect(mends.wait),
    }


def _script(plan: Plan) -> Json:
    lines = zip(plan.script, script_lines(plan, hide=True), strict=True)
    return {
        "lines": [
            {"text": text, "remark": one.remark or text != one.text, "private": bool(one.hidden)}
            for one, text in lines
        ],
        "effect": _effect(wait_of(plan)),
    }


def _effect(wait: str) -> str:
    return f"after a {wait}" if wait else ""


def _arrival(arrival: Arrival) -> Json:
    sure = [one for one in arrival.landed if one.carried.fate in SURE]
    return {
        "arrived": sum(one.there for one in sure),
        "missing": len(arrival.missing),
        "beside": [of_change(one) for one in arrival.beside.changes],
    }
