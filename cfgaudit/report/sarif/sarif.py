"""The report of audits as a SARIF log: OASIS Static Analysis Results Interchange Format, version 2.1.0.

A run is one craft. A finding is a result, and so is each that follows from it; an accepted one is suppressed
with its reason; what was not judged is open. Columns count characters, as everywhere in this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from urllib.parse import quote

from cfgaudit.audit.finding import Unheeded, Weighed
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import of_cautions, of_tally
from cfgaudit.report.cautions import AUDIT_LIMIT, caution_for, hazards_in, told, with_consequences
from cfgaudit.report.paper import Audited, NotAudited, ShownRule
from cfgaudit.report.safe import safe, safe_tree
from cfgaudit.report.sarif.place import Desk, artifact_of, file_at, files_of, location_of, region_of
from cfgaudit.report.sarif.result import results
from cfgaudit.report.sarif.text import said, spoken, spoken_markdown
from cfgaudit.report.sarif.uri import uri_of
from cfgaudit.report.tally import tally
from cfgaudit.report.words import firmware_words, one_line

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def sarif(tool_version: str, crafts: Iterable[Audited | NotAudited]) -> Json:
    """The log: a run for each craft, in the order given."""
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [_run(one) if isinstance(one, Audited) else _failed_run(tool_version, one) for one in crafts],
    }


def _run(one: Audited) -> Json:
    rules = _rules_of(one)
    files = dict.fromkeys((one.paper.dump.file, one.paper.build.file, *files_of(one)))
    desk = Desk(
        files={file: n for n, file in enumerate(files)},
        rules={rule.id: n for n, rule in enumerate(rules)},
        loose="" if one.paper.dump.is_file else one.paper.dump.file,
        about=one,
    )
    return {
        **_frame(one.paper.tool_version, [_rule(rule) for rule in rules], one.name),
        "invocations": [_invocation(desk)],
        "artifacts": [artifact_of(desk, file) for file in desk.files],
        "results": [*results(desk)],
        "properties": safe_tree(
            {
                "firmware": firmware_words(one.paper.dump),
                "craft": one.name,
                "counts": of_tally(tally(one.audit)),
                "cautions": of_cautions(hazards_in(told(one.audit)), AUDIT_LIMIT),
            }
        ),
    }


def _failed_run(tool_version: str, one: NotAudited) -> Json:
    """A run without results, which says more than an empty list would: nothing was looked at."""
    files = {one.where.file: 0} if one.where else {}
    fault: dict[str, Json] = {"level": "error", "message": said(one.what)}
    if one.where:
        fault["locations"] = [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": uri_of(one.where.file), "index": 0},
                    **region_of(one.where),
                }
            }
        ]
    return {
        **_frame(tool_version, [], one.craft),
        "invocations": [{"executionSuccessful": False, "toolExecutionNotifications": [fault]}],
        "artifacts": [{"location": {"uri": uri_of(file)}} for file in files],
        "properties": {"cautions": safe_tree(of_cautions((), AUDIT_LIMIT))},
    }


def _frame(tool_version: str, rules: list[Json], craft: str) -> dict[str, Json]:
    driver: Json = {"name": "cfgaudit", "version": safe(tool_version), "rules": rules}
    named: dict[str, Json] = (
        {"automationDetails": {"id": f"cfgaudit/{quote(safe(craft), safe=' ')}/"}} if craft else {}
    )
    return {"tool": {"driver": driver}, **named, "columnKind": "unicodeCodePoints"}


# Rules


def _rules_of(one: Audited) -> Sequence[ShownRule]:
    """The rules that the run speaks of: those that hold are not told."""
    spoken_of = {
        *(finding.rule for finding in with_consequences(told(one.audit))),
        *(open_.rule for open_ in one.audit.not_judged),
        *(weighed.rule for weighed in one.audit.weighed),
    }
    return sorted((rule for rule in one.rules if rule.id in spoken_of), key=lambda rule: rule.id)


def _rule(rule: ShownRule) -> Json:
    caution = f"Caution: {caution_for(rule.hazard).sentence}" if rule.hazard else ""
    parts = [rule.why, f"Basis: {one_line(rule.basis)}", caution]
    return {
        "id": safe(rule.id),
        "shortDescription": said(rule.title),
        "fullDescription": said(rule.why),
        "help": {
            "text": "\n".join(spoken(part) for part in parts if part),
            "markdown": "\n\n".join(spoken_markdown(part) for part in parts if part),
        },
        "defaultConfiguration": {"level": rule.level.value},
        "properties": {"tags": [safe(rule.id.partition("/")[0])]},
    }


# What was said beside


def _invocation(desk: Desk) -> Json:
    paper, audit = desk.about.paper, desk.about.audit
    notes: list[Json] = [
        {
            "level": "note",
            "message": said(note),
            "locations": [{"physicalLocation": file_at(desk, head.file)}],
        }
        for head in (paper.dump, paper.build)
        for note in head.notes
    ]
    return {
        "executionSuccessful": True,
        "toolExecutionNotifications": notes,
        "toolConfigurationNotifications": [_unheeded(desk, one) for one in audit.unheeded],
        "ruleConfigurationOverrides": [_override(desk, one) for one in audit.weighed],
    }


def _unheeded(desk: Desk, one: Unheeded) -> Json:
    rule = one.entry.rule
    index: dict[str, Json] = {"index": desk.rules[rule]} if rule in desk.rules else {}
    return {
        "level": "warning",
        "message": said(f"{rule}: {one.text}"),
        "locations": [location_of(desk, one.entry.place)],
        "associatedRule": {"id": safe(rule), **index},
    }


def _override(desk: Desk, one: Weighed) -> Json:
    index: dict[str, Json] = {"index": desk.rules[one.rule]} if one.rule in desk.rules else {}
    off = one.change.level == "off"
    return {
        "descriptor": {"id": safe(one.rule), **index},
        "configuration": {"enabled": False} if off else {"level": safe(one.change.level)},
        "properties": safe_tree({"reason": one.change.reason, "where": str(one.change.place)}),
    }
