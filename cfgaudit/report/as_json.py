"""Reports as plain data for other programs; ``report.schema.json`` beside this file describes them.

The same input gives the same bytes: no clock, no random order. Every text is safe (see
``safe.py``), so that what another program prints from it cannot steer a terminal.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from cfgaudit.audit.finding import Audit, Finding, Mend, NotJudged, Sight, Unheeded, Weighed
from cfgaudit.audit.left_out import LeftOut
from cfgaudit.compare.change import Change, Weight
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table
from cfgaudit.model.path import dotted
from cfgaudit.model.place import Default, Origin
from cfgaudit.model.terms import Acceptance, ForGood
from cfgaudit.model.value import Json
from cfgaudit.report.cautions import AUDIT_LIMIT, DIFF_LIMIT, STANDING, caution_for, hazards_in, told
from cfgaudit.report.paper import (
    AuditPaper,
    BuildHead,
    BuildPaper,
    Comparison,
    DiffPaper,
    DumpHead,
    ShownRule,
)
from cfgaudit.report.safe import safe, safe_tree
from cfgaudit.report.tally import Tally, tally

VERSION = 1  # of the format: goes up when a reader written for the old one would go wrong


def audit_json(paper: AuditPaper, audit: Audit) -> Json:
    """The report of an audit. Findings keep their order within a level, weightiest level first."""
    counts = tally(audit)
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    not_judged = sorted(audit.not_judged, key=lambda one: (one.rule, one.subject, one.missing))
    return report_of(
        "audit",
        paper.tool_version,
        {
            "dump": of_dump(paper.dump),
            "build": of_build(paper.build),
            "counts": of_tally(counts),
            "findings": [of_finding(one) for one in findings],
            **of_terms(audit),
            "holding": [*sorted(audit.holding)],
            "not_judged": [_not_judged(one) for one in not_judged],
            "cautions": of_cautions(hazards_in(told(audit)), AUDIT_LIMIT),
        },
    )


def audits_json(
    tool_version: str, audits: Iterable[tuple[str, AuditPaper, Audit]], faults: Mapping[str, str]
) -> Json:
    """The reports of several craft by name, and why some could not be audited."""
    reports: list[Json] = [
        {"craft": craft, "report": audit_json(paper, audit)} for craft, paper, audit in audits
    ]
    said: list[Json] = [{"craft": craft, "what": what} for craft, what in faults.items()]
    return report_of("audits", tool_version, {"audits": reports, "faults": said})


def build_json(paper: BuildPaper, audit: Audit, left_out: Iterable[LeftOut]) -> Json:
    """What the rules find in a build sheet alone, and what it leaves out, most awaited first."""
    counts, gaps = tally(audit), tuple(left_out)
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    return report_of(
        "build-check",
        paper.tool_version,
        {
            "build": of_build(paper.build),
            "counts": {
                **{level.value: number for level, number in counts.findings.items()},
                "consequences": counts.consequences,
                "accepted": counts.accepted,
                "holding": counts.holding,
                "left_out": len(gaps),
                "waiting": len({rule for gap in gaps for rule in gap.rules}),
            },
            "findings": [of_finding(one) for one in findings],
            **of_terms(audit),
            "holding": [*sorted(audit.holding)],
            "left_out": [_left_out(one) for one in gaps],
            "cautions": of_cautions(hazards_in(told(audit)), AUDIT_LIMIT),
        },
    )


def diff_json(paper: DiffPaper, comparison: Comparison) -> Json:
    """What changed between two dumps. Changes keep their order within a weight, heaviest first."""
    weights = list(Weight)
    changes = sorted(comparison.changes, key=lambda change: weights.index(change.weight))
    hazards = ("propellers",) if any(change.weight is Weight.HURT for change in changes) else ()
    return report_of(
        "diff",
        paper.tool_version,
        {
            "before": of_dump(paper.before),
            "after": of_dump(paper.after),
            "changes": [of_change(one) for one in changes],
            "cautions": of_cautions(hazards, DIFF_LIMIT),
        },
    )


def rules_json(tool_version: str, rules: Iterable[ShownRule]) -> Json:
    """Rules as people may read them, by id: the list of all, or the explanation of one."""
    return report_of(
        "rules",
        tool_version,
        {"rules": [_rule(one) for one in sorted(rules, key=lambda rule: rule.id)]},
    )


def numbers_json(paper: AuditPaper, tables: Iterable[Table]) -> Json:
    """The derived figures, subject by subject; of one that lacks an input the value is null."""
    return report_of(
        "numbers",
        paper.tool_version,
        {
            "dump": of_dump(paper.dump),
            "build": of_build(paper.build),
            "tables": [
                {"subject": one.subject, "title": one.title, "figures": [_quantity(row) for row in one.rows]}
                for one in tables
            ],
            "cautions": of_cautions((), AUDIT_LIMIT),
        },
    )


def json_text(document: Json) -> str:
    """A report as the text of a file, ASCII only, with the line end of its last line."""
    return json.dumps(document, indent=2, ensure_ascii=True) + "\n"


def report_of(kind: str, tool_version: str, body: dict[str, Json]) -> Json:
    """A report of a kind: what every report begins with, and its own members, all made safe."""
    return safe_tree(
        {
            "format": "cfgaudit-report",
            "version": VERSION,
            "kind": kind,
            "tool": {"name": "cfgaudit", "version": tool_version},
            **body,
        }
    )


def of_tally(counts: Tally) -> Json:
    """How many of each answer."""
    return {
        **{level.value: number for level, number in counts.findings.items()},
        "consequences": counts.consequences,
        "accepted": counts.accepted,
        "holding": counts.holding,
        "not_judged": counts.not_judged,
    }


def of_dump(head: DumpHead) -> Json:
    """A dump as it was read."""
    return {
        "file": head.file,
        "firmware": {"name": head.firmware, "version": head.version, "board": head.board},
        "dialect": head.dialect,
        "extent": head.extent,
        "settings": head.settings,
        "not_understood": head.not_understood,
        "keep_with": head.keep_with,
        "notes": [*head.notes],
    }


def of_build(head: BuildHead) -> Json:
    """A build sheet as it was read."""
    return {
        "file": head.file,
        "craft": head.craft,
        "devices": head.devices,
        "motors": head.motors,
        "notes": [*head.notes],
    }


def of_finding(finding: Finding) -> Json:
    """A finding with its places, its mend and what follows from it."""
    return {
        "rule": finding.rule,
        "fingerprint": finding.fingerprint,
        "level": finding.level.value,
        "title": finding.title,
        "subject": finding.subject,
        "at": finding.at,
        "text": finding.text,
        "figures": [*finding.figures],
        "declared": [of_sight(one) for one in finding.declared],
        "found": [of_sight(one) for one in finding.found],
        "mend": _mend(finding.mend),
        "why": finding.why,
        "basis": finding.basis,
        "hazard": finding.hazard,
        "follows": [of_finding(one) for one in finding.follows],
    }


def of_sight(sight: Sight) -> Json:
    """A place and what stands there."""
    return {"origin": of_origin(sight.origin), "text": sight.text}


def _mend(mend: Mend) -> Json:
    return {
        "lines": [*mend.lines],
        "undo": [*mend.undo],
        "exact": all(safe(line) == line for line in (*mend.lines, *mend.undo)),
        "cannot": mend.cannot,
        "effect": f"after a {mend.wait}" if mend.wait else "",
    }


def of_terms(audit: Audit) -> dict[str, Json]:
    """What came of a user's word on the rules."""
    return {
        "accepted": [{"finding": of_finding(one.finding), **_entry(one.by)} for one in audit.accepted],
        "unheeded": [_unheeded(one) for one in audit.unheeded],
        "weighed": [_weighed(one) for one in audit.weighed],
    }


def _entry(entry: Acceptance) -> dict[str, Json]:
    return {
        "reason": entry.reason,
        "until": None if isinstance(entry.until, ForGood) else entry.until.isoformat(),
        "where": of_origin(entry.place),
    }


def _unheeded(one: Unheeded) -> Json:
    named: dict[str, Json] = {"rule": one.entry.rule, "at": one.entry.at}
    return {**named, **_entry(one.entry), "why": one.why.value, "text": one.text}


def _weighed(one: Weighed) -> Json:
    return {
        "rule": one.rule,
        "own_level": one.level.value,
        "level": one.change.level,
        "reason": one.change.reason,
        "where": of_origin(one.change.place),
    }


def _not_judged(one: NotJudged) -> Json:
    return {
        "rule": one.rule,
        "title": one.title,
        "subject": one.subject,
        "missing": one.missing,
        "where": of_origin(one.where) if one.where else None,
    }


def _left_out(gap: LeftOut) -> Json:
    return {
        "path": dotted(gap.path),
        "about": gap.about,
        "rules": [*gap.rules],
        "reason": gap.reason,
        "below": dotted(gap.below),
        "where": of_origin(gap.where),
        "meaning": gap.meaning,
        "example": gap.example,
        "write": gap.line,
    }


def of_change(change: Change) -> Json:
    """One change."""
    return {
        "weight": change.weight.value,
        "subject": change.subject,
        "text": change.text,
        "paths": [dotted(path) for path in change.paths],
        "before": [of_origin(one) for one in change.before],
        "after": [of_origin(one) for one in change.after],
        "effect": change.effect,
    }


def _rule(rule: ShownRule) -> Json:
    return {
        "id": rule.id,
        "level": rule.level.value,
        "title": rule.title,
        "needs": [*rule.needed],
        "follows": [*rule.follows],
        "why": rule.why,
        "basis": rule.basis,
        "hazard": rule.hazard,
        "never_accept": bool(rule.never_accept),
        "why_never": rule.never_accept,
    }


def _quantity(row: Quantity) -> Json:
    missing = row.value if isinstance(row.value, Missing) else None
    return {
        "about": row.about,
        "what": row.what,
        "value": None if isinstance(row.value, Missing) else row.value,
        "unit": row.unit,
        "sum": row.sum,
        "source": row.source,
        "rules": [*row.rules],
        "missing": [*missing.needs] if missing else [],
        "reason": missing.reason if missing else "",
    }


def of_origin(origin: Origin) -> Json:
    """A place in a file, or the dialect whose default it is."""
    if isinstance(origin, Default):
        return {"default_of": origin.dialect}
    return {"file": origin.file, "line": origin.line, "column": origin.column}


def of_cautions(hazards: Iterable[str], limit: str) -> Json:
    """What is to be shown with a report."""
    return {
        "hazards": [
            {"word": word, "mark": caution_for(word).mark, "sentence": caution_for(word).sentence}
            for word in hazards
        ],
        "standing": [*STANDING],
        "limit": limit,
    }
