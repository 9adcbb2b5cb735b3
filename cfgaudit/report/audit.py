"""The report of an audit for people at a terminal: lines of text without line ends, one at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby

from cfgaudit.audit.finding import Accepted, Audit, NotJudged, Unheeded, Weighed
from cfgaudit.model.terms import ForGood
from cfgaudit.report.finding import BLANK, LEVEL, ROLES, finding_lines, labelled, mark, named
from cfgaudit.report.foot import caution_lines, tally_spans
from cfgaudit.report.paper import AuditPaper
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, firmware_words, one_line, reading_words, wrapped


def audit_text(
    paper: AuditPaper,
    audit: Audit,
    style: Style = PLAIN,
    *,
    show_not_judged: bool = False,
    show_why: bool = True,
    show_holding: bool = True,
) -> Iterator[str]:
    """The report of an audit, weightiest finding first; then what is accepted, with its reason.

    ``show_not_judged`` lists each judgement that lacks something, with what is missing and where
    to write it; ``show_why`` gives each finding the first sentence of its reason; ``show_holding``
    names the rules that hold where nothing was found.
    """
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    lines = chain(
        _head(paper, audit.weighed),
        chain.from_iterable(finding_lines(one, paper.dump.keep_with, show_why) for one in findings),
        accepted_lines(audit.accepted),
        unheeded_lines(audit.unheeded),
        _nothing_found(audit, show_holding) if not findings else (),
        _not_judged(audit.not_judged) if show_not_judged and audit.not_judged else (),
        _foot(audit, listed=show_not_judged),
    )
    return map(painter(style), lines)


def _head(paper: AuditPaper, weighed: Iterable[Weighed]) -> Iterator[Line]:
    dump, build = paper.dump, paper.build
    craft = build.craft or "craft not named"
    yield (
        ("strong", f"{craft} · {firmware_words(dump)}"),
        ("quiet", f" · audited with cfgaudit {paper.tool_version}"),
    )
    devices, motors = counted(build.devices, "device"), counted(build.motors, "motor")
    yield (("plain", f"{dump.file}: {reading_words(dump)} · {build.file}: {devices}, {motors}"),)
    for head in (dump, build):
        yield from ((("plain", f"{head.file}: {one_line(note)}"),) for note in head.notes)
    yield from map(weighed_line, weighed)
    yield BLANK


def weighed_line(one: Weighed) -> Line:
    """A rule that weighs otherwise than it does by itself, and who says so."""
    change = one.change
    off = change.level == "off"
    what = "is switched off" if off else f"counts as {change.level} instead of {one.level.value}"
    return (("plain", f"{change.place}: {one.rule} {what}: {one_line(change.reason)}"),)


def accepted_lines(accepted: Sequence[Accepted]) -> Iterator[Line]:
    """The findings that somebody accepts, each with the reason and the last day."""
    if accepted:
        yield (("strong", "Accepted: known, left as they are, not counted"),)
    for one in accepted:
        finding, entry = one.finding, one.by
        label = f"{finding.level.value.upper():<{LEVEL}}"
        yield ((ROLES[finding.level], label), ("plain", one_line(finding.text)), *mark(finding.hazard))
        until = "for good" if isinstance(entry.until, ForGood) else f"until {entry.until}"
        yield from labelled("reason", [(("plain", one_line(entry.reason)),)])
        yield from labelled("accepted", [(("quiet", f"{entry.place}, {until}"),)])
        yield from labelled("rule", [(("quiet", named(finding.rule, finding.at)),)])
    if accepted:
        yield BLANK


def unheeded_lines(unheeded: Sequence[Unheeded]) -> Iterator[Line]:
    """The acceptances that accept nothing, each with the reason."""
    if unheeded:
        yield (("strong", "Acceptances that accept nothing"),)
    for one in unheeded:
        yield (("warning", f"  {named(one.entry.rule, one.entry.at)}"), ("plain", f"  {one_line(one.text)}"))
        yield (("quiet", f"    {one.entry.place}"),)
    if unheeded:
        yield BLANK


def _nothing_found(audit: Audit, show_holding: bool) -> Iterator[Line]:
    if not audit.holding and not audit.accepted:
        yield (("strong", "No findings, but no rule could be judged: this audit says nothing."),)
        yield BLANK
        return
    besides = "No findings but the accepted ones: nothing else" if audit.accepted else "No findings: nothing"
    said = f"{besides} that was judged speaks against the build."
    yield (("strong", f"{said} These rules hold:" if show_holding else said),)
    yield from holding_lines(audit) if show_holding else (BLANK,)


def holding_lines(audit: Audit) -> Iterator[Line]:
    """The rules that hold, by their subjects."""
    rules = [safe(rule).partition("/") for rule in sorted(audit.holding)]
    width = max(len(subject) for subject, _, _ in rules) + 2
    for subject, names in groupby(rules, key=lambda parts: parts[0]):
        lines = wrapped(", ".join(name or subject for _, _, name in names), width + 2)
        yield (("quiet", f"  {subject:<{width}}"), ("plain", next(lines)))
        yield from ((("plain", " " * (width + 2) + more),) for more in lines)
    yield BLANK


def _not_judged(open_ones: Sequence[NotJudged]) -> Iterator[Line]:
    yield (("strong", "Not judged, and what is missing"),)
    for rule, several in groupby(sorted(open_ones, key=_by_rule), key=lambda one: (one.rule, one.title)):
        yield (("plain", f"  {rule[0]}"), ("quiet", f"  {one_line(rule[1])}"))
        for one in several:
            subject = f"{one.subject}: " if one.subject else ""
            where = f"; write it at {one.where}" if one.where else ""
            yield (("plain", f"    {one_line(subject + one.missing)}{where}"),)
    yield BLANK


def _by_rule(one: NotJudged) -> tuple[str, str, str]:
    return one.rule, one.subject, one.missing


def _foot(audit: Audit, *, listed: bool) -> Iterator[Line]:
    counts = tally(audit)
    yield (*tally_spans(counts), ("plain", f" · {counts.not_judged} not judged"))
    if audit.not_judged and not listed:
        rules = sorted({one.rule for one in audit.not_judged})
        more = f" and {len(rules) - 3} more" if len(rules) > 3 else ""
        yield (
            ("plain", f"Not judged: {', '.join(rules[:3])}{more}"),
            ("plain", " (--not-judged lists what is missing and where to write it)"),
        )
    yield from caution_lines(audit)
