"""The results of a run in a SARIF log."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from cfgaudit.audit.finding import Accepted, Finding, NotJudged
from cfgaudit.model.terms import ForGood
from cfgaudit.model.value import Json
from cfgaudit.report.cautions import caution_for, with_consequences
from cfgaudit.report.finding import mend_lines, told_at
from cfgaudit.report.markdown import fenced, plain
from cfgaudit.report.safe import safe, safe_tree
from cfgaudit.report.sarif.place import (
    Desk,
    artifact_location,
    first_location,
    location_of,
    rule_by_number,
    sight_at,
)
from cfgaudit.report.sarif.text import in_message, literal, said, spoken, spoken_markdown
from cfgaudit.report.style import PLAIN, painter
from cfgaudit.report.words import one_line

if TYPE_CHECKING:
    from cfgaudit.dialect.in_place import Replacement

FINGERPRINT = "cfgauditFinding/v1"  # goes up when the same finding would get another one


def results(desk: Desk) -> Iterator[Json]:
    """Findings, weightiest first, each before what follows from it; accepted ones; what was not judged."""
    audit = desk.about.audit
    for root in sorted(audit.findings, key=lambda finding: finding.level.rank):
        yield from (_result(desk, one, root) for one in with_consequences((root,)))
    for accepted in audit.accepted:
        result = _result(desk, accepted.finding, accepted.finding)
        yield {**result, "suppressions": [_suppression(desk, accepted)]}
    for open_ in sorted(audit.not_judged, key=lambda one: (one.rule, one.subject, one.missing)):
        yield _open(desk, open_)


def _result(desk: Desk, finding: Finding, root: Finding) -> dict[str, Json]:
    changes = desk.about.fixes.get(finding.fingerprint, ())
    first = told_at(finding)
    others = [sight_at(desk, "found", one) for one in finding.found if one.origin != first]
    others += [sight_at(desk, "declared", one) for one in finding.declared if one.origin != first]
    properties: dict[str, Json] = {"at": finding.at, "hazard": finding.hazard}
    if root is not finding:
        properties["followsFrom"] = {"rule": root.rule, "fingerprint": root.fingerprint}
    result: dict[str, Json] = {
        **rule_by_number(desk, finding.rule),
        "level": finding.level.value,
        "message": _message(desk, finding, pasted=not changes),
        "locations": [first_location(desk, finding)],
        "relatedLocations": [*others],
        "partialFingerprints": {FINGERPRINT: finding.fingerprint},
        "properties": safe_tree(properties),
    }
    return {**result, "fixes": [_fix(desk, changes)]} if changes else result


def _message(desk: Desk, finding: Finding, *, pasted: bool) -> Json:
    """The sentence, and below it the mend; its lines stand in Markdown where there is no fix to apply."""
    caution = f" ({caution_for(finding.hazard).mark})" if finding.hazard else ""
    sentence = f"{one_line(finding.text)}{caution}"
    keep = desk.about.paper.dump.keep_with
    mend = [painter(PLAIN)(line) for line in mend_lines(finding.mend, keep)]
    message: dict[str, Json] = {"text": "\n".join([spoken(sentence), *map(literal, mend)])}
    if pasted and finding.mend.lines:
        # what to do with the lines stands before them, what cannot be pasted behind
        behind = mend[1 + len(finding.mend.lines) :]
        lines = [plain(mend[0]), "", *fenced(finding.mend.lines), "", *map(plain, behind)]
        message["markdown"] = "\n\n".join([spoken_markdown(sentence), in_message("\n".join(lines).rstrip())])
    return message


def _fix(desk: Desk, changes: Iterable[Replacement]) -> Json:
    return {
        "description": said("This changes the dump's text alone: the firmware still has to be told."),
        "artifactChanges": [
            {
                "artifactLocation": artifact_location(desk, desk.about.paper.dump.file),
                "replacements": [
                    {
                        "deletedRegion": {
                            "startLine": one.line,
                            "startColumn": one.start,
                            "endLine": one.line,
                            "endColumn": one.end,
                        },
                        "insertedContent": {"text": one.text},
                    }
                    for one in changes
                ],
            }
        ],
    }


def _suppression(desk: Desk, accepted: Accepted) -> Json:
    entry = accepted.by
    return {
        "kind": "external",
        "status": "accepted",
        "justification": safe(one_line(entry.reason)),
        "location": location_of(desk, entry.place),
        "properties": {"until": None if isinstance(entry.until, ForGood) else entry.until.isoformat()},
    }


def _open(desk: Desk, one: NotJudged) -> Json:
    subject = f"{one.subject}: " if one.subject else ""
    place: dict[str, Json] = {"locations": [location_of(desk, one.where)]} if one.where else {}
    return {
        **rule_by_number(desk, one.rule),
        "kind": "open",
        "level": "none",
        "message": said(f"Not judged: {subject}{one.missing}"),
        **place,
    }
