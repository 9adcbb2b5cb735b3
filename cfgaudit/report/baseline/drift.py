"""The report of a dump that is held against its baseline: what drifted, what that does to the audit."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from cfgaudit.baseline.drift import Drift
from cfgaudit.compare.change import Weight
from cfgaudit.report.audit import weighed_line
from cfgaudit.report.baseline.paper import DriftPaper
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING, hazards_in
from cfgaudit.report.diff import group_lines
from cfgaudit.report.finding import BLANK, finding_lines
from cfgaudit.report.foot import hazard_lines, tally_spans
from cfgaudit.report.preset.parts import brief_line, heading
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, firmware_words, one_line, packed, reading_words


def drift_text(
    paper: DriftPaper, drift: Drift, style: Style = PLAIN, *, show_why: bool = True
) -> Iterator[str]:
    """What is not as it was recorded, what can hurt first; then findings: new, mended, as before."""
    lines = chain(
        _head(paper, drift),
        _changes(drift),
        _findings(paper, drift, show_why),
        _foot(drift),
    )
    return map(painter(style), lines)


def _head(paper: DriftPaper, drift: Drift) -> Iterator[Line]:
    facts, fresh, recorded = drift.facts, paper.fresh, paper.recorded
    yield (
        ("strong", f"{paper.build.craft or 'craft not named'} · {firmware_words(fresh)}"),
        ("quiet", f" · held against its baseline with cfgaudit {paper.tool_version}"),
    )
    yield (("plain", f"{fresh.file}: {reading_words(fresh)}"),)
    if facts.when:
        said = f"recorded {facts.when} from {facts.source}, audited then: {facts.audited}"
    else:
        said = "a dump without the facts of a record"
    firmware = f"{firmware_words(recorded)}, " if firmware_words(recorded) != firmware_words(fresh) else ""
    yield (("plain", f"{recorded.file}: {firmware}{one_line(said)}"),)
    if facts.note:
        yield (("plain", f"{recorded.file}: “{one_line(facts.note)}”"),)
    for head in (fresh, recorded, paper.build):
        yield from ((("plain", f"{head.file}: {one_line(note)}"),) for note in head.notes)
    yield from map(weighed_line, drift.after.weighed)
    yield BLANK


def _changes(drift: Drift) -> Iterator[Line]:
    changes = drift.changes.changes
    if changes:
        yield heading(f"{counted(len(changes), 'change')} since the baseline")
        yield from group_lines(changes, every=False)
    else:
        yield heading("No drift: the dump says what was recorded.")
        yield BLANK
    if drift.sealed_otherwise:
        names = one_line(", ".join(drift.sealed_otherwise))
        yield (
            ("warning", f"Not known whether these changed, since their seals are of another key: {names}"),
        )
        yield BLANK


def _findings(paper: DriftPaper, drift: Drift, show_why: bool) -> Iterator[Line]:
    found = drift.findings
    if found.brought:
        yield heading(f"{counted(len(found.brought), 'finding')} that the baseline had not")
        yield BLANK
        for one in sorted(found.brought, key=lambda one: one.level.rank):
            yield from finding_lines(one, paper.fresh.keep_with, show_why)
    for above, findings in (("Mended since the baseline", found.mended), ("As in the baseline", found.left)):
        if findings:
            yield heading(above)
            yield from (brief_line(one, "") for one in sorted(findings, key=lambda one: one.level.rank))
            yield BLANK


def _foot(drift: Drift) -> Iterator[Line]:
    counts = tally(drift.after)
    yield (("plain", "The dump now: "), *tally_spans(counts), ("plain", f" · {counts.not_judged} not judged"))
    hazards = dict.fromkeys(hazards_in(drift.after.findings))
    if any(change.weight is Weight.HURT for change in drift.changes.changes):
        hazards = {"propellers": None} | hazards
    yield from hazard_lines(hazards)
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", AUDIT_LIMIT),)
