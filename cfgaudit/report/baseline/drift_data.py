"""A dump that is held against its baseline, as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfgaudit.baseline.drift import Drift
from cfgaudit.baseline.facts import Facts
from cfgaudit.compare.change import Weight
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import (
    of_build,
    of_cautions,
    of_change,
    of_dump,
    of_finding,
    of_tally,
    of_terms,
    report_of,
)
from cfgaudit.report.baseline.paper import DriftPaper
from cfgaudit.report.cautions import AUDIT_LIMIT, hazards_in
from cfgaudit.report.tally import tally


def drift_json(paper: DriftPaper, drift: Drift) -> Json:
    """What is not as it was recorded."""
    hazards = dict.fromkeys(hazards_in(drift.after.findings))
    if any(change.weight is Weight.HURT for change in drift.changes.changes):
        hazards = {"propellers": None} | hazards
    return report_of(
        "baseline-check",
        paper.tool_version,
        {
            "dump": of_dump(paper.fresh),
            "baseline": {**_object(of_dump(paper.recorded)), "recorded": _facts(drift.facts)},
            "build": of_build(paper.build),
            "changes": [of_change(one) for one in drift.changes.changes],
            "sealed_otherwise": [*drift.sealed_otherwise],
            "brought": [of_finding(one) for one in drift.findings.brought],
            "mended": [of_finding(one) for one in drift.findings.mended],
            "left": [of_finding(one) for one in drift.findings.left],
            "counts": of_tally(tally(drift.after)),
            **of_terms(drift.after),
            "cautions": of_cautions(tuple(hazards), AUDIT_LIMIT),
        },
    )


def drifts_json(
    tool_version: str, drifts: Iterable[tuple[str, DriftPaper, Drift]], faults: Mapping[str, str]
) -> Json:
    """The same of several craft by name, and why some could not be checked."""
    reports: list[Json] = [{"craft": craft, "report": drift_json(paper, one)} for craft, paper, one in drifts]
    said: list[Json] = [{"craft": craft, "what": what} for craft, what in faults.items()]
    return report_of("baseline-checks", tool_version, {"checks": reports, "faults": said})


def _facts(facts: Facts) -> Json:
    return {
        "craft": facts.craft,
        "when": facts.when,
        "tool_version": facts.tool_version,
        "source": facts.source,
        "sha256": facts.digest,
        "audited": facts.audited,
        "note": facts.note,
        "seals": [*facts.seals],
    }


def _object(data: Json) -> dict[str, Json]:
    return data if isinstance(data, dict) else {}
