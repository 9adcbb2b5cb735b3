"""The report of audits as JUnit XML: a suite for each craft, a case for each rule that was asked.

What fits the schema of ``tests/report/junit-10.xsd`` is all that there is: no clock, no host. Every text
passes ``safe``, which leaves no character that XML cannot hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from xml.etree import ElementTree

from cfgaudit.audit.finding import Accepted, Audit, Finding, Level, NotJudged, Weighed
from cfgaudit.model.terms import ForGood
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING, caution_for, hazards_in, told, with_consequences
from cfgaudit.report.finding import finding_lines
from cfgaudit.report.paper import Audited, NotAudited
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, painter
from cfgaudit.report.words import counted, firmware_words, one_line, reading_words

Element = ElementTree.Element


def junit(crafts: Iterable[Audited | NotAudited]) -> Iterator[str]:
    """The lines of the file."""
    suites = [_suite(one) if isinstance(one, Audited) else _failed_suite(one) for one in crafts]
    counts = {key: str(sum(int(suite.get(key, "0")) for suite in suites)) for key in _COUNTED}
    root = ElementTree.Element("testsuites", {"name": "cfgaudit", **counts})
    root.extend(suites)
    ElementTree.indent(root)
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield from ElementTree.tostring(root, "unicode").split("\n")


_COUNTED = ("tests", "failures", "errors")


def _suite(one: Audited) -> Element:
    cases = [*_cases(one)]
    suite = _empty_suite(one.name or "craft not named", cases)
    properties = ElementTree.SubElement(suite, "properties")
    for name, value in _properties(one):
        ElementTree.SubElement(properties, "property", {"name": name, "value": safe(one_line(value))})
    suite.extend(cases)
    ElementTree.SubElement(suite, "system-out").text = _lines(_beside(one.audit))
    return suite


def _failed_suite(one: NotAudited) -> Element:
    case = _case("cfgaudit/audit")
    _answer(case, "error", "fault", one.said, [one.said])
    suite = _empty_suite(one.craft, [case])
    suite.append(case)
    ElementTree.SubElement(suite, "system-out").text = _lines((*STANDING, AUDIT_LIMIT))
    return suite


def _empty_suite(name: str, cases: Sequence[Element]) -> Element:
    def count(tag: str) -> str:
        return str(sum(case.find(tag) is not None for case in cases))

    counts = {"failures": count("failure"), "errors": count("error"), "skipped": count("skipped")}
    return ElementTree.Element("testsuite", {"name": safe(name), "tests": str(len(cases)), **counts})


def _properties(one: Audited) -> Iterator[tuple[str, str]]:
    dump, build = one.paper.dump, one.paper.build
    yield "tool", f"cfgaudit {one.paper.tool_version}"
    yield "firmware", firmware_words(dump)
    yield "dump", f"{dump.file}: {reading_words(dump)}"
    yield "build sheet", f"{build.file}: {counted(build.devices, 'device')}, {counted(build.motors, 'motor')}"
    for head in (dump, build):
        yield from (("note", f"{head.file}: {note}") for note in head.notes)


# Cases


def _cases(one: Audited) -> Iterator[Element]:
    """A case for each rule, by id: failed, skipped, or passed without a word."""
    audit = one.audit
    roots = {id(finding): root for root in audit.findings for finding in with_consequences((root,))}
    failed: dict[str, list[Finding]] = {}
    for finding in with_consequences(audit.findings):
        failed.setdefault(finding.rule, []).append(finding)
    accepted: dict[str, list[Accepted]] = {}
    for known in audit.accepted:
        accepted.setdefault(known.finding.rule, []).append(known)
    open_: dict[str, list[NotJudged]] = {}
    for gap in audit.not_judged:
        open_.setdefault(gap.rule, []).append(gap)
    off = {change.rule: change for change in audit.weighed if change.change.level == "off"}
    keep = one.paper.dump.keep_with
    for rule in sorted({*audit.holding, *failed, *accepted, *open_, *off}):
        case = _case(rule)
        left = [
            *map(_accepted, accepted.get(rule, ())),
            *map(_open, sorted(open_.get(rule, ()), key=_subject)),
        ]
        left += [_off(off[rule])] if rule in off else []
        if rule in failed:
            levels = sorted((finding.level for finding in failed[rule]), key=lambda level: level.rank)
            lines = [line for finding in failed[rule] for line in _told(finding, roots[id(finding)], keep)]
            _answer(case, "failure", levels[0].value, _message(failed[rule]), [*lines, *left])
        elif left:
            kind = "accepted" if rule in accepted else "switched off" if rule in off else "not judged"
            _answer(case, "skipped", kind, left[0], left)
        yield case


def _case(rule: str) -> Element:
    return ElementTree.Element("testcase", {"classname": safe(rule.partition("/")[0]), "name": safe(rule)})


def _answer(case: Element, tag: str, kind: str, message: str, lines: Iterable[str]) -> None:
    attributes = {"type": kind, "message": safe(one_line(message))}
    ElementTree.SubElement(case, tag, attributes).text = _lines(lines)


def _message(findings: Sequence[Finding]) -> str:
    first = min(findings, key=lambda finding: finding.level.rank)
    more = f" (and {len(findings) - 1} more)" if len(findings) > 1 else ""
    return f"{one_line(first.text)}{more}"


def _told(finding: Finding, root: Finding, keep_with: str) -> Iterator[str]:
    yield from map(painter(PLAIN), finding_lines(finding, keep_with, show_why=True))
    if root is not finding:
        yield f"follows from {root.rule}: {one_line(root.text)}"


def _accepted(one: Accepted) -> str:
    entry = one.by
    until = "for good" if isinstance(entry.until, ForGood) else f"until {entry.until}"
    return f"accepted {until} ({entry.place}): {one_line(entry.reason)}: {one_line(one.finding.text)}"


def _open(one: NotJudged) -> str:
    subject = f"{one.subject}: " if one.subject else ""
    where = f"; write it at {one.where}" if one.where else ""
    return f"not judged: {one_line(subject + one.missing)}{where}"


def _subject(one: NotJudged) -> tuple[str, str]:
    return one.subject, one.missing


def _off(one: Weighed) -> str:
    return f"switched off ({one.change.place}): {one_line(one.change.reason)}"


def _beside(audit: Audit) -> Iterator[str]:
    """What is not about one rule alone: acceptances that accept nothing, other levels, cautions."""
    for one in audit.unheeded:
        yield f"{one.entry.place}: {one.entry.rule}: {one_line(one.text)}"
    for weighed in audit.weighed:
        if weighed.change.level in [*Level]:
            change = weighed.change
            what = f"counts as {change.level} instead of {weighed.level.value}"
            yield f"{change.place}: {weighed.rule} {what}: {one_line(change.reason)}"
    yield from (caution_for(word).sentence for word in hazards_in(told(audit)))
    yield from (*STANDING, AUDIT_LIMIT)


def _lines(lines: Iterable[str]) -> str:
    return "\n".join(map(safe, lines)).strip("\n")
