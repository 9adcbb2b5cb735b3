"""Many craft as plain data. All is listed: what a text leaves to --all is here."""

from __future__ import annotations

from cfgaudit.compare.fleet.majority import KindTold, NotSaid, Odd, Told
from cfgaudit.compare.fleet.row import Audited, Drifted, Found, NoBaseline
from cfgaudit.model.path import dotted
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import of_cautions, report_of
from cfgaudit.report.cautions import AUDIT_LIMIT
from cfgaudit.report.fleet.paper import FleetPaper, setting_words, value_words


def fleet_json(paper: FleetPaper) -> Json:
    """The craft in their order, then kinds and faults."""
    return report_of(
        "fleet",
        paper.tool_version,
        {
            "folder": paper.folder,
            "counts": {
                **{level.value: number for level, number in paper.counts.items()},
                "craft": len(paper.rows),
                "drifted": sum(row.has_drifted for row in paper.rows),
                "faults": len(paper.faults),
            },
            "craft": [_craft(row) for row in paper.rows],
            "kinds": [_kind(kind) for kind in paper.kinds],
            "faults": [{"craft": one.craft, "what": one.what} for one in paper.faults],
            "left_out": [*paper.left_out],
            "cautions": of_cautions(paper.hazards, AUDIT_LIMIT),
        },
    )


def _craft(row: Audited) -> Json:
    return {
        "craft": row.craft,
        "dump": row.dump,
        "build": row.sheet,
        "firmware": {"name": row.firmware, "version": row.version, "board": row.board},
        "dialect": row.dialect,
        "counts": {
            **{level.value: number for level, number in row.counts.items()},
            "consequences": sum(1 for _ in row.every) - len(row.findings),
            "accepted": row.accepted,
            "holding": row.holding,
            "not_judged": row.not_judged,
        },
        "not_understood": row.not_understood,
        "worst": row.worst,
        "findings": [_finding(one) for one in row.findings],
        "drift": _drift(row.drift),
    }


def _finding(one: Found) -> Json:
    return {
        "rule": one.rule,
        "at": one.at,
        "level": one.level.value,
        "text": one.text,
        "fingerprint": one.fingerprint,
        "hazard": one.hazard,
        "follows": [_finding(further) for further in one.follows],
    }


def _drift(drift: Drifted | NoBaseline) -> Json:
    if isinstance(drift, NoBaseline):
        return {"baseline": drift.named, "recorded": "", "compared": False}
    return {
        "baseline": drift.baseline,
        "recorded": drift.recorded,
        "compared": True,
        "changes": drift.changes,
        "heaviest": [
            {"weight": one.weight, "subject": one.subject, "text": one.text} for one in drift.heaviest
        ],
        "sealed_otherwise": [*drift.sealed_otherwise],
    }


def _kind(kind: KindTold) -> Json:
    return {
        "dialect": kind.kind.dialect,
        "board": kind.kind.board,
        "layout": kind.kind.layout,
        "craft": [*kind.craft],
        "compared": kind.compared,
        "differences": [_odd(one) for one in kind.odd],
    }


def _odd(odd: Odd) -> Json:
    return {
        "path": dotted(odd.path) if len(odd.path) > 1 else "",
        "setting": setting_words(odd),
        "private": odd.private,
        "usual": _value(odd, odd.usual),
        "have": odd.have,
        "others": [{**_value(odd, one.value), "craft": [*one.craft]} for one in odd.others],
    }


def _value(odd: Odd, value: Told) -> dict[str, Json]:
    return {"said": not isinstance(value, NotSaid), "text": value_words(odd, value)}
