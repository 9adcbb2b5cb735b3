"""Rules for people at a terminal: the list of all, and the explanation of one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from cfgaudit.report.cautions import caution_for
from cfgaudit.report.finding import BLANK, LEVEL, ROLES, mark
from cfgaudit.report.paper import ShownExamples, ShownRule
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Span, Style, painter
from cfgaudit.report.words import counted, one_line, wrapped

_LABEL = 10  # columns of "level", "why", … before what they label
_MENDED = "cfgaudit audit … --mend FILE writes the lines that set it right, and those that take them back"
_BY_HAND = "by hand: no line alone sets it right"


def explain_text(
    rule: ShownRule,
    style: Style = PLAIN,
    examples: ShownExamples | None = None,
    hand: str = "",
    here: Sequence[str] = (),
) -> Iterator[str]:
    """Everything a builder may want to know of one rule.

    ``hand`` names the firmware in whose hand the examples are; "" for the model's paths. ``here``: what
    the project says of it.
    """
    yield from map(painter(style), _explanation(rule))
    for n, text in enumerate(here):
        yield from map(painter(style), _told_at_length("" if n else "here", text))
    if examples is not None:
        yield from map(painter(style), _examples(examples, hand))


def rules_list_text(rules: Iterable[ShownRule], style: Style = PLAIN) -> Iterator[str]:
    """All rules by subject, one a line: id, level, title, and whether it is about what can hurt."""
    return map(painter(style), _rule_table(sorted(rules, key=lambda rule: rule.id)))


def _explanation(rule: ShownRule) -> Iterator[Line]:
    yield (("strong", rule.id),)
    yield (("plain", one_line(rule.title)),)
    yield BLANK
    yield from _told("level", ((ROLES[rule.level], rule.level.value),))
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
            yield BLANK
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
                (ROLES[rule.level], f"{rule.level.value:<{LEVEL}}"),
                ("plain", one_line(rule.title)),
                *mark(rule.hazard),
            )
        yield BLANK
    if not rules:
        yield (("plain", "No rule is meant by that: cfgaudit rules list without words names them all."),)
        return
    yield (("quiet", f"{counted(len(rules), 'rule')} (cfgaudit explain RULE tells more of one)"),)
