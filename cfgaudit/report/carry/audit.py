"""The report of a firmware update: whether what it leads to fits the build."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.audit.finding import Finding
from cfgaudit.compare.carry.checked import Checked, Explained
from cfgaudit.report.audit import accepted_lines, unheeded_lines
from cfgaudit.report.carry.paper import CarryPaper, Update
from cfgaudit.report.carry.rows import heading
from cfgaudit.report.carry.words import from_words
from cfgaudit.report.finding import BLANK, LEVEL, ROLES, finding_lines, labelled, mark
from cfgaudit.report.style import Line
from cfgaudit.report.words import counted, one_line

NOWHERE = "no single setting of the update: see the places above"


def audit_lines(paper: CarryPaper, update: Update, show_why: bool) -> Iterator[Line]:
    """The findings that the update brings, whole; those that it mends and leaves in a line each."""
    for checked in update.checked:
        what = "The later dump" if update.arrival else "The result"
        sheet = next((head.file for head in paper.build), "the build sheet")
        yield heading(f"{what} held against {sheet}: {_brings(checked)}")
        yield BLANK
        for one in sorted(checked.brought, key=lambda it: it.finding.level.rank):
            yield from _finding(one, paper.new.keep_with, update, show_why)
        yield from _brief("Found before the update, and no longer", checked.mended)
        yield from _brief("Found before the update as well", checked.left)
        yield from accepted_lines(checked.after.accepted)
        yield from unheeded_lines(checked.after.unheeded)


def _brings(checked: Checked) -> str:
    if checked.brought:
        return f"the update brings {counted(len(checked.brought), 'finding')}"
    if checked.after.findings:
        return "the update brings no finding"
    return "nothing that was judged speaks against it"


def _finding(one: Explained, keep: str, update: Update, show_why: bool) -> Iterator[Line]:
    *body, rule, end = finding_lines(one.finding, keep, show_why, show_mend=False)
    yield from body
    said = [*from_words(one.about, update)] or [NOWHERE]
    yield from labelled("from", [(("plain", one_line(text)),) for text in said])
    yield rule
    yield end


def _brief(above: str, findings: Sequence[Finding]) -> Iterator[Line]:
    if findings:
        yield heading(above)
        yield from _each(sorted(findings, key=lambda one: one.level.rank))
        yield BLANK


def _each(findings: Iterable[Finding]) -> Iterator[Line]:
    for one in findings:
        label = f"  {one.level.value.upper():<{LEVEL}}"
        yield ((ROLES[one.level], label), ("plain", one_line(one.text)), *mark(one.hazard))


def unaudited_lines(update: Update) -> Iterator[Line]:
    """What to do to have the result audited."""
    if not update.checked:
        what = "the later dump" if update.arrival else "the result"
        yield (
            ("plain", f"Nothing was audited: with --build SHEET {what} is held against what is soldered."),
        )
