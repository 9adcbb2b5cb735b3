"""The report of audits as Markdown for a pull request: short, the rest folded.

CommonMark with tables, and the two HTML elements that fold. Between them stand empty lines, so that what is
inside is Markdown as well and escaped like all other text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.audit.finding import Accepted, Audit, Finding, Mend, NotJudged, Sight, Unheeded
from cfgaudit.model.terms import ForGood
from cfgaudit.report.cautions import (
    AUDIT_LIMIT,
    STANDING,
    caution_for,
    hazards_in,
    told,
    with_consequences,
)
from cfgaudit.report.finding import named, shortened, told_at
from cfgaudit.report.markdown import fenced, plain
from cfgaudit.report.paper import Audited, NotAudited
from cfgaudit.report.safe import safe
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, firmware_words, one_line, reading_words


def audit_markdown(crafts: Iterable[Audited | NotAudited], *, show_why: bool = True) -> Iterator[str]:
    """The lines: craft after craft, the cautions once at the foot."""
    hazards: dict[str, None] = {}
    for one in crafts:
        if isinstance(one, Audited):
            yield from _craft(one, show_why)
            hazards |= dict.fromkeys(hazards_in(told(one.audit)))
        else:
            yield f"## {_text(one.craft)}: not audited"
            yield ""
            yield _text(one.said)
            yield ""
    yield "---"
    yield ""
    yield from (
        f"- **{_text(caution_for(word).mark)}:** {_text(caution_for(word).sentence)}" for word in hazards
    )
    if hazards:
        yield ""
    yield " ".join(map(plain, STANDING))
    yield ""
    yield f"**{plain(AUDIT_LIMIT)}**"


def _craft(one: Audited, show_why: bool) -> Iterator[str]:
    paper, audit = one.paper, one.audit
    yield f"## {_text(one.name or 'craft not named')}: {_headline(audit)}"
    yield ""
    files = f"{_text(paper.dump.file)} against {_text(paper.build.file)}"
    yield f"{_text(firmware_words(paper.dump))}: {files}. {_besides(audit)}"
    yield ""
    yield _text(f"Audited with cfgaudit {paper.tool_version}: {reading_words(paper.dump)}.")
    yield ""
    notes = [
        f"- {_text(head.file)}: {_text(note)}" for head in (paper.dump, paper.build) for note in head.notes
    ]
    yield from _block(notes)
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    yield from _block(_table(findings))
    for finding in findings:
        yield from _finding(finding, paper.dump.keep_with, show_why)
    if audit.accepted:
        inside = [f"- {_accepted(known)}" for known in audit.accepted]
        yield from _folded(f"{len(audit.accepted)} accepted: known, left as they are, not counted", inside)
    if audit.unheeded:
        inside = [f"- {_unheeded(entry)}" for entry in audit.unheeded]
        yield from _folded(f"{counted(len(audit.unheeded), 'acceptance')} of nothing", inside)
    if audit.weighed:
        yield from _folded(f"{counted(len(audit.weighed), 'rule')} weighed otherwise", _weighed(audit))
    if audit.not_judged:
        yield from _folded(
            f"{len(audit.not_judged)} not judged, and what is missing", _open(audit.not_judged)
        )


def _headline(audit: Audit) -> str:
    counts = tally(audit)
    found = [counted(number, level.value) for level, number in counts.findings.items() if number]
    if found:
        return ", ".join(found)
    return "no findings" if audit.holding or audit.accepted else "no rule could be judged"


def _besides(audit: Audit) -> str:
    counts = tally(audit)
    follow = "follows" if counts.consequences == 1 else "follow"
    said = [
        f"{counts.consequences} more {follow} from them" if counts.consequences else "",
        f"{counts.accepted} accepted" if counts.accepted else "",
        f"{counts.holding} {'rule holds' if counts.holding == 1 else 'rules hold'}",
        f"{counts.not_judged} not judged",
    ]
    return f"{', '.join(filter(None, said))}."


def _table(findings: Sequence[Finding]) -> Iterator[str]:
    if findings:
        yield "| level | finding | place |"
        yield "|---|---|---|"
    for finding in findings:
        place = told_at(finding)
        where = _text(str(place)) if place else ""
        yield f"| {finding.level.value} | {_sentence(finding)} | {where} |"


def _sentence(finding: Finding) -> str:
    caution = f" **{_text(caution_for(finding.hazard).mark)}**" if finding.hazard else ""
    return f"{_text(finding.text)}{caution}"


# What is folded


def _finding(finding: Finding, keep_with: str, show_why: bool) -> Iterator[str]:
    inside = [
        *_sights("declared", finding.declared),
        *_sights("found", finding.found),
        *(f"- follows: {_sentence(one)} ({_text(one.rule)})" for one in with_consequences(finding.follows)),
        *([f"- why: {_text(finding.why)}"] if show_why else []),
        f"- rule: {_text(named(finding.rule, finding.at))}",
        "",
        *_mend(finding.mend, keep_with),
    ]
    yield from _folded(f"{finding.level.value}: {_sentence(finding)}", inside)


def _sights(word: str, sights: Iterable[Sight]) -> Iterator[str]:
    for one in sights:
        text = shortened(one.text.strip())
        yield f"- {word}: {_text(str(one.origin))}" + (f" {plain(text)}" if text else "")


def _mend(mend: Mend, keep_with: str) -> Iterator[str]:
    if mend.lines:
        these = "this line" if len(mend.lines) == 1 else f"these {len(mend.lines)} lines"
        if any(safe(line) != line for line in mend.lines):
            yield f"Do not paste {these}: what a backslash stands before is only written out."
        else:
            these += f", in force after a {_text(mend.wait)}" if mend.wait else ""
            yield f"Paste {these}, then type: {_text(keep_with)}" if keep_with else f"Paste {these}:"
        yield ""
        yield from fenced(mend.lines)
    if mend.cannot:
        yield f"Nothing {'more ' if mend.lines else ''}to paste: {_text(mend.cannot)}"
    elif not mend.lines:
        yield "Nothing to paste: this one needs your decision or your hands."


def _accepted(one: Accepted) -> str:
    entry = one.by
    until = "for good" if isinstance(entry.until, ForGood) else f"until {entry.until}"
    said = f"{one.finding.level.value}: {_sentence(one.finding)} Accepted {until}: {_text(entry.reason)}"
    return f"{said} ({_text(named(one.finding.rule, one.finding.at))}; {_text(str(entry.place))})"


def _unheeded(one: Unheeded) -> str:
    entry = one.entry
    return f"{_text(named(entry.rule, entry.at))}: {_text(one.text)} ({_text(str(entry.place))})"


def _weighed(audit: Audit) -> Iterator[str]:
    for one in audit.weighed:
        off = one.change.level == "off"
        what = (
            "is switched off" if off else f"counts as {_text(one.change.level)} instead of {one.level.value}"
        )
        yield f"- {_text(one.rule)} {what}: {_text(one.change.reason)} ({_text(str(one.change.place))})"


def _open(open_ones: Sequence[NotJudged]) -> Iterator[str]:
    for one in sorted(open_ones, key=lambda one: (one.rule, one.subject, one.missing)):
        subject = f"{one.subject}: " if one.subject else ""
        where = f"; write it at {_text(str(one.where))}" if one.where else ""
        yield f"- {_text(one.rule)}: {_text(subject + one.missing)}{where}"


def _folded(head: str, lines: Iterable[str]) -> Iterator[str]:
    yield "<details>"
    yield "<summary>"
    yield ""
    yield head
    yield ""
    yield "</summary>"
    yield ""
    yield from lines
    yield ""
    yield "</details>"
    yield ""


def _block(lines: Iterable[str]) -> Iterator[str]:
    """Lines and an empty one behind them, if there are any."""
    lines = [*lines]
    yield from lines
    if lines:
        yield ""


def _text(text: str) -> str:
    return plain(one_line(text))
