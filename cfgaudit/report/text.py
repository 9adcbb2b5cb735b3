"""Reports for people at a terminal: lines of text without line ends, one at a time.

Everything here works with raw text and roles; ``painter`` makes it safe and colours it. Lines that
somebody may paste are never wrapped and stand alone on their line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby

from cfgaudit.audit.finding import (
    Accepted,
    Audit,
    Finding,
    Level,
    Mend,
    NotJudged,
    Sight,
    Unheeded,
    Weighed,
)
from cfgaudit.compare.change import Change, Weight
from cfgaudit.model.place import Default, Origin
from cfgaudit.model.terms import ForGood
from cfgaudit.report.cautions import (
    AUDIT_LIMIT,
    DIFF_LIMIT,
    STANDING,
    caution_for,
    hazards_in,
    told,
    with_consequences,
)
from cfgaudit.report.paper import AuditPaper, Comparison, DiffPaper, ShownExamples, ShownRule
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Role, Span, Style, painter
from cfgaudit.report.tally import Tally, tally
from cfgaudit.report.words import counted, firmware_words, one_line, packed, reading_words, wrapped

_LEVEL = 9  # columns of the level's word before a finding
_LABEL = 10  # columns of "declared", "found", … before what they label
_LONGEST = 160  # characters shown of a line from a file: enough to know it again
_ROLES: dict[Level, Role] = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTE: "note"}
_BLANK: Line = ()
# The end of a sentence, but not the dot of an abbreviation such as "e.g.".
_SENTENCE = re.compile(r".+?(?<!\.[a-z])[.!?](?=\s+[A-Z0-9])")
_UNTOLD = (
    "Compared without a dialect: by the names and leading cells of the lines. "
    "What a change can do is not known."
)


def audit_text(
    paper: AuditPaper,
    audit: Audit,
    style: Style = PLAIN,
    *,
    show_not_judged: bool = False,
    show_why: bool = True,
) -> Iterator[str]:
    """The report of an audit, weightiest finding first; then what is accepted, with its reason.

    ``show_not_judged`` lists each judgement that lacks something, with what is missing and where
    to write it; ``show_why`` gives each finding the first sentence of its reason.
    """
    findings = sorted(audit.findings, key=lambda finding: finding.level.rank)
    lines = chain(
        _audit_head(paper, audit.weighed),
        chain.from_iterable(finding_lines(one, paper.dump.keep_with, show_why) for one in findings),
        _accepted(audit.accepted) if audit.accepted else (),
        _unheeded(audit.unheeded) if audit.unheeded else (),
        _nothing_found(audit) if not findings else (),
        _not_judged(audit.not_judged) if show_not_judged and audit.not_judged else (),
        _audit_foot(audit, listed=show_not_judged),
    )
    return map(painter(style), lines)


def diff_text(paper: DiffPaper, comparison: Comparison, style: Style = PLAIN) -> Iterator[str]:
    """What changed between two dumps, what can hurt first."""
    changes = comparison.changes
    told = bool(paper.before.dialect and paper.after.dialect)
    lines = chain(
        _diff_head(paper, len(changes), told),
        _groups(changes, told),
        _diff_foot(changes),
    )
    return map(painter(style), lines)


def explain_text(
    rule: ShownRule, style: Style = PLAIN, examples: ShownExamples | None = None, hand: str = ""
) -> Iterator[str]:
    """Everything a builder may want to know of one rule.

    ``hand`` names the firmware in whose hand the examples are; "" for the model's paths.
    """
    yield from map(painter(style), _explanation(rule))
    if examples is not None:
        yield from map(painter(style), _examples(examples, hand))


def rules_list_text(rules: Iterable[ShownRule], style: Style = PLAIN) -> Iterator[str]:
    """All rules by subject, one a line: id, level, title, and whether it is about what can hurt."""
    return map(painter(style), _rule_table(sorted(rules, key=lambda rule: rule.id)))


# --- the audit


def _audit_head(paper: AuditPaper, weighed: Iterable[Weighed]) -> Iterator[Line]:
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
    yield from map(_weighed, weighed)
    yield _BLANK


def _weighed(one: Weighed) -> Line:
    change = one.change
    off = change.level == "off"
    what = "is switched off" if off else f"counts as {change.level} instead of {one.level.value}"
    return (("plain", f"{change.place}: {one.rule} {what}: {one_line(change.reason)}"),)


def finding_lines(finding: Finding, keep_with: str, show_why: bool, show_mend: bool = True) -> Iterator[Line]:
    """One finding with its places, its mend and its reason."""
    label = f"{finding.level.value.upper():<{_LEVEL}}"
    yield ((_ROLES[finding.level], label), ("strong", one_line(finding.text)), *_mark(finding.hazard))
    width = max((len(safe(str(one.origin))) for one in (*finding.declared, *finding.found)), default=0)
    yield from labelled("declared", (_sight(one, width) for one in finding.declared))
    yield from labelled("found", (_sight(one, width) for one in finding.found))
    yield from labelled("mend", _mend(finding.mend, keep_with) if show_mend else ())
    yield from labelled("follows", map(_consequence, with_consequences(finding.follows)))
    if show_why:
        yield from labelled("why", [(("plain", _first_sentence(finding.why)),)])
    yield from labelled("rule", [(("quiet", _named(finding.rule, finding.at)),)])
    yield _BLANK


def _named(rule: str, at: str) -> str:
    """A rule and its place as an acceptance names them: what stands here can be copied into one."""
    return f"{rule}, at: {at}" if at else rule


def _accepted(accepted: Iterable[Accepted]) -> Iterator[Line]:
    yield (("strong", "Accepted: known, left as they are, not counted"),)
    for one in accepted:
        finding, entry = one.finding, one.by
        label = f"{finding.level.value.upper():<{_LEVEL}}"
        yield ((_ROLES[finding.level], label), ("plain", one_line(finding.text)), *_mark(finding.hazard))
        until = "for good" if isinstance(entry.until, ForGood) else f"until {entry.until}"
        yield from labelled("reason", [(("plain", one_line(entry.reason)),)])
        yield from labelled("accepted", [(("quiet", f"{entry.place}, {until}"),)])
        yield from labelled("rule", [(("quiet", _named(finding.rule, finding.at)),)])
    yield _BLANK


def _unheeded(unheeded: Iterable[Unheeded]) -> Iterator[Line]:
    yield (("strong", "Acceptances that accept nothing"),)
    for one in unheeded:
        named = _named(one.entry.rule, one.entry.at)
        yield (("warning", f"  {named}"), ("plain", f"  {one_line(one.text)}"))
        yield (("quiet", f"    {one.entry.place}"),)
    yield _BLANK


def labelled(label: str, lines: Iterable[Line]) -> Iterator[Line]:
    """Lines under a label, which stands before the first."""
    for line in lines:
        yield (("plain", " " * _LEVEL), ("quiet", f"{label:<{_LABEL}}"), *line)
        label = ""


def _mark(hazard: str) -> tuple[Span, ...]:
    return (("plain", "    "), ("warning", f"! {caution_for(hazard).mark}")) if hazard else ()


def _sight(sight: Sight, width: int) -> Line:
    where, text = safe(str(sight.origin)), _shortened(sight.text.strip())
    return (("quiet", f"{where:<{width}}   "), ("plain", text)) if text else (("quiet", where),)


def _mend(mend: Mend, keep_with: str) -> Iterator[Line]:
    if mend.lines:
        these = "this line" if len(mend.lines) == 1 else f"these {len(mend.lines)} lines"
        if any(safe(line) != line for line in mend.lines):
            yield (("warning", f"do not paste {these}: what a \\ stands before is only written out"),)
        else:
            these += f", in force after a {one_line(mend.wait)}" if mend.wait else ""
            yield (("quiet", f"paste {these}, then type: {keep_with}" if keep_with else f"paste {these}"),)
        yield from ((("plain", line),) for line in mend.lines)
    if mend.cannot:
        yield (("plain", f"nothing {'more ' if mend.lines else ''}to paste: {one_line(mend.cannot)}"),)
    elif not mend.lines:
        yield (("plain", "nothing to paste: this one needs your decision or your hands"),)


def _consequence(finding: Finding) -> Line:
    return (("plain", one_line(finding.text)), *_mark(finding.hazard), ("quiet", f"  ({finding.rule})"))


def _nothing_found(audit: Audit) -> Iterator[Line]:
    if not audit.holding and not audit.accepted:
        yield (("strong", "No findings, but no rule could be judged: this audit says nothing."),)
        yield _BLANK
        return
    besides = "No findings but the accepted ones: nothing else" if audit.accepted else "No findings: nothing"
    yield (("strong", f"{besides} that was judged speaks against the build. These rules hold:"),)
    yield from holding_lines(audit)


def holding_lines(audit: Audit) -> Iterator[Line]:
    """The rules that hold, by their subjects."""
    rules = [safe(rule).partition("/") for rule in sorted(audit.holding)]
    width = max(len(subject) for subject, _, _ in rules) + 2
    for subject, names in groupby(rules, key=lambda parts: parts[0]):
        lines = wrapped(", ".join(name or subject for _, _, name in names), width + 2)
        yield (("quiet", f"  {subject:<{width}}"), ("plain", next(lines)))
        yield from ((("plain", " " * (width + 2) + more),) for more in lines)
    yield _BLANK


def _not_judged(open_ones: Sequence[NotJudged]) -> Iterator[Line]:
    yield (("strong", "Not judged, and what is missing"),)
    for rule, several in groupby(sorted(open_ones, key=_by_rule), key=lambda one: (one.rule, one.title)):
        yield (("plain", f"  {rule[0]}"), ("quiet", f"  {one_line(rule[1])}"))
        for one in several:
            subject = f"{one.subject}: " if one.subject else ""
            where = f"; write it at {one.where}" if one.where else ""
            yield (("plain", f"    {one_line(subject + one.missing)}{where}"),)
    yield _BLANK


def _by_rule(one: NotJudged) -> tuple[str, str, str]:
    return one.rule, one.subject, one.missing


def _audit_foot(audit: Audit, *, listed: bool) -> Iterator[Line]:
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


def tally_spans(counts: Tally) -> tuple[Span, ...]:
    """How many findings of each level there are, what follows from them, and the rules that hold."""
    found: list[Span] = []
    for level, number in counts.findings.items():
        if number:
            found += [("plain", ", "), (_ROLES[level], counted(number, level.value))]
    follow = "follows" if counts.consequences == 1 else "follow"
    return (
        *(found[1:] or [("plain", "no findings")]),
        ("plain", f" · {counts.consequences} more {follow} from them" if counts.consequences else ""),
        ("plain", f" · {counts.accepted} accepted" if counts.accepted else ""),
        ("plain", f" · {counts.holding} {'rule holds' if counts.holding == 1 else 'rules hold'}"),
    )


def caution_lines(audit: Audit) -> Iterator[Line]:
    """What can hurt among the findings, what always holds, and what an audit does not say."""
    yield from hazard_lines(hazards_in(told(audit)))
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", AUDIT_LIMIT),)


# --- the comparison


def _diff_head(paper: DiffPaper, changes: int, told: bool) -> Iterator[Line]:
    before, after = paper.before, paper.after
    settings = counted(after.settings, "setting")
    if before.settings != after.settings:
        settings = f"{before.settings} → {settings}"
    number = counted(changes, "change") if changes else "no changes"
    yield (
        ("strong", f"{before.file} → {after.file} · {number} in {settings}"),
        ("quiet", f" · compared with cfgaudit {paper.tool_version}"),
    )
    width = max(len(safe(before.file)), len(safe(after.file)))
    for head in (before, after):
        yield (("quiet", f"  {safe(head.file):<{width}}   {firmware_words(head)}, {reading_words(head)}"),)
        yield from ((("plain", f"  {' ' * width}   {one_line(note)}"),) for note in head.notes)
    if not told:
        yield (("plain", _UNTOLD),)
    if before.extent != after.extent:
        yield (("warning", "The extents differ: what stands in one file alone may be a default."),)
    yield _BLANK


def _groups(changes: Sequence[Change], told: bool) -> Iterator[Line]:
    widths = (
        min(24, max((len(safe(one.subject)) for one in changes), default=0)),
        min(60, max((len(safe(one_line(one.text))) for one in changes), default=0)),
    )
    if changes and not told:
        yield (("strong", "changes"),)
        yield from (_change(one, *widths) for one in changes)
    for weight in Weight if changes and told else ():
        group = [one for one in changes if one.weight is weight]
        role: Role = "error" if group and weight is Weight.HURT else "strong"
        yield ((role, weight.value),)
        yield from (_change(one, *widths) for one in group)
        if not group:
            yield (("quiet", "  nothing"),)
    if changes:
        yield _BLANK


def _change(change: Change, subject: int, text: int) -> Line:
    effect = f"   takes effect {change.effect}" if change.effect else ""
    return (
        ("strong", f"  {safe(change.subject):<{subject}}"),
        ("plain", f"   {safe(one_line(change.text)):<{text}}"),
        ("quiet", f"   {_where(change)}"),
        ("warning", effect),
    )


def _where(change: Change) -> str:
    now, then = _places(change.after), _places(change.before)
    if not change.after:
        return f"was {then}"
    gone = then and all(isinstance(origin, Default) for origin in change.after)
    return f"{now}, was {then}" if gone and then != now else now


def _places(origins: Iterable[Origin]) -> str:
    return ", ".join(dict.fromkeys(map(str, origins)))


def _diff_foot(changes: Sequence[Change]) -> Iterator[Line]:
    if any(change.weight is Weight.HURT for change in changes):
        yield from hazard_lines(["propellers"])
        yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", DIFF_LIMIT),)


# --- the rules


_MENDED = "cfgaudit audit … --mend FILE writes the lines that set it right, and those that take them back"
_BY_HAND = "by hand: no line alone sets it right"


def _explanation(rule: ShownRule) -> Iterator[Line]:
    yield (("strong", rule.id),)
    yield (("plain", one_line(rule.title)),)
    yield _BLANK
    yield from _told("level", ((_ROLES[rule.level], rule.level.value),))
    if rule.never_accept:
        yield from _told_at_length("accepted", f"never: {rule.never_accept}")
    yield from _told_at_length("why", rule.why)
    yield from _told_at_length("basis", rule.basis)
    for n, (who, paths) in enumerate(rule.inputs):
        yield from _told_at_length("" if n else "needs", f"{who}: {', '.join(paths)}")
    if rule.inputs:
        yield from _told_at_length("", "(without one of these it is not judged)")
    yield from _told_at_length("mend", _MENDED if rule.mend else _BY_HAND)
    if rule.follows:
        yield from _told_at_length(
            "follows", f"{', '.join(rule.follows)} (one of those makes this a mere consequence)"
        )
    if rule.hazard:
        caution = caution_for(rule.hazard)
        yield from _told("caution", (("warning", f"! {caution.mark}"),))
        yield from _told_at_length("", caution.sentence)


def _examples(examples: ShownExamples, hand: str) -> Iterator[Line]:
    in_hand = f", as {hand} writes it" if hand else ", by the model's paths"
    for label, some, end in (
        ("wrong", examples.wrong, in_hand),
        ("right", examples.right, ": the same, mended" if examples.by_mend else in_hand),
    ):
        for one in some:
            yield _BLANK
            yield from _told(label, (("quiet", f"for example{end}"),))
            if one.sheet and (label == "wrong" or not examples.by_mend):
                yield from _listed_under("build sheet", one.sheet)
            if one.lines:
                yield from _listed_under("dump", one.lines)
            for text in one.cannot:
                yield from _told_at_length("", f"({hand} cannot write this: {text})")
            if one.says:
                yield from _told_at_length("says", one.says)


def _listed_under(label: str, lines: Iterable[str]) -> Iterator[Line]:
    yield from _told("", (("quiet", label),))
    for text in lines:
        yield from _told("", (("plain", f"  {safe(text)}"),))  # YAML's blanks tell what belongs to what


def _told(label: str, spans: tuple[Span, ...]) -> Iterator[Line]:
    yield (("quiet", f"{label:<{_LABEL}}"), *spans)


def _told_at_length(label: str, text: str) -> Iterator[Line]:
    for line in wrapped(one_line(text), _LABEL):
        yield from _told(label, (("plain", line),))
        label = ""


def _rule_table(rules: Sequence[ShownRule]) -> Iterator[Line]:
    width = max((len(safe(rule.id)) for rule in rules), default=0)
    for _, subject in groupby(rules, key=lambda rule: rule.id.partition("/")[0]):
        for rule in subject:
            yield (
                ("plain", f"{safe(rule.id):<{width}}   "),
                (_ROLES[rule.level], f"{rule.level.value:<{_LEVEL}}"),
                ("plain", one_line(rule.title)),
                *_mark(rule.hazard),
            )
        yield _BLANK
    yield (("quiet", f"{counted(len(rules), 'rule')} (cfgaudit explain RULE tells more of one)"),)


# --- words and widths


def hazard_lines(hazards: Iterable[str]) -> Iterator[Line]:
    """The cautions of these hazards."""
    cautions = [caution_for(word) for word in hazards]
    width = max((len(safe(caution.mark)) for caution in cautions), default=0)
    for caution in cautions:
        sentence = wrapped(caution.sentence, width + 5)
        yield (("warning", f"! {safe(caution.mark):<{width}}"), ("plain", f"   {next(sentence)}"))
        yield from ((("plain", f"{' ' * (width + 5)}{more}"),) for more in sentence)


def _first_sentence(text: str) -> str:
    line = one_line(text)
    first = _SENTENCE.match(line)
    return first.group() if first else line


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
