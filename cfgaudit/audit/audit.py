"""All rules against one configuration; root causes first, their consequences under them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import islice

from msgspec.structs import replace

from cfgaudit.audit.accept import set_apart, unheeded
from cfgaudit.audit.evidence import Bench, Evidence, Source, facts_of_reading, without_missing
from cfgaudit.audit.finding import Audit, Finding, NotJudged
from cfgaudit.audit.judge import Fails, judge
from cfgaudit.audit.rule import Rule
from cfgaudit.audit.weigh import weighed
from cfgaudit.derive.facts import facts
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.sheet import Build
from cfgaudit.model.terms import Acceptance, Terms
from cfgaudit.model.value import Json

NONE = Terms()
_TO_GIT = ("derived", "reading", "to_git")  # what mentions it has nothing to say of a file that stays at home


def audit(
    reading: Reading,
    sheet: Build,
    rules: Iterable[Rule],
    terms: Terms = NONE,
    today: date = date.max,
    *,
    to_git: bool = False,
) -> Audit:
    """Judge every rule by a user's terms. Findings come weightiest first, consequences under them.

    ``today`` is the day by which acceptances expire; without it all that have a last day have.
    ``to_git`` says that the dump's file is to go into git, where no private value belongs. Raises
    Refusal if the terms switch off or lower a rule that nobody may accept.
    """
    weighty, changes = weighed(rules, terms.levels)
    asked = tuple(rule for rule in weighty if to_git or _TO_GIT not in rule.mentions)
    trees = (reading.model.tree, sheet.tree, facts_of_reading(reading, to_git=to_git))
    seen = evidence(asked, *trees, Bench(reading, sheet))
    return replace(judged(asked, seen, terms.accepted, today), weighed=changes)


def evidence(
    rules: Iterable[Rule],
    model: Mapping[str, Json],
    build: Mapping[str, Json],
    reading: Mapping[str, Json],
    source: Source,
) -> Evidence:
    """What these rules are judged by: only the derived sections that one of them looks at."""
    wanted = frozenset(section for rule in rules for section in rule.sections)
    return evidence_with(wanted, model, build, reading, source)


def evidence_with(
    wanted: frozenset[str],
    model: Mapping[str, Json],
    build: Mapping[str, Json],
    reading: Mapping[str, Json],
    source: Source,
) -> Evidence:
    """The trees and these derived sections."""
    figures = {**facts(dict(model), dict(build), wanted, dict(reading)), "reading": dict(reading)}
    derived = {name: without_missing(section) for name, section in figures.items()}  # type: ignore[arg-type]
    return Evidence(model, build, figures, derived, source)  # type: ignore[arg-type]


def judged(
    rules: Iterable[Rule], seen: Evidence, accepted: Iterable[Acceptance] = (), today: date = date.max
) -> Audit:
    """Judge rules by evidence; what somebody accepts goes by itself before causes are looked for."""
    rules, accepted = tuple(rules), tuple(accepted)
    failures: list[Fails] = []
    not_judged: dict[tuple[str, str], NotJudged] = {}
    holding = []
    for rule in rules:
        answers = tuple(judge(rule, seen))
        failed = [answer for answer in answers if isinstance(answer, Fails)]
        open_ = [answer for answer in answers if isinstance(answer, NotJudged)]
        failures += failed
        for one in open_:  # what is missing may leave many subjects open: it is said once
            not_judged.setdefault((rule.id, one.missing), one)
        if not failed and not open_:
            holding.append(rule.id)
    left, apart = set_apart(failures, accepted, rules, today) if accepted else (failures, [])
    return Audit(
        findings=tuple(sorted(_rooted(left), key=_weight)),
        holding=tuple(holding),
        not_judged=tuple(not_judged.values()),
        accepted=tuple(sorted(apart, key=lambda one: one.finding.level.rank)),
        unheeded=tuple(unheeded(accepted, rules, failures, left, not_judged.values(), today)),
    )


def _weight(finding: Finding) -> int:
    return min([finding.level.rank, *(one.level.rank for one in finding.follows)])


def _rooted(failures: list[Fails]) -> list[Finding]:
    """Findings that a root cause explains go under it; all others stand by themselves."""
    causes = _causes(failures)
    roots = [_root(n, causes) for n in range(len(failures))]
    follows: dict[int, list[Finding]] = {}
    for n, root in enumerate(roots):
        if root != n:
            follows.setdefault(root, []).append(failures[n].finding)
    return [
        replace(failure.finding, follows=tuple(follows.get(n, ())))
        for n, failure in enumerate(failures)
        if roots[n] == n
    ]


def _causes(failures: list[Fails]) -> list[tuple[int, ...]]:
    """Of each failure those that it follows from: the first one of each rule with each of its tags."""
    tagged: dict[tuple[str, str], list[int]] = {}
    for n, failure in enumerate(failures):
        for tag in failure.about:
            tagged.setdefault((failure.finding.rule, tag), []).append(n)
    return [tuple(sorted(set(_caused_by(n, failure, tagged)))) for n, failure in enumerate(failures)]


def _caused_by(n: int, failure: Fails, tagged: Mapping[tuple[str, str], list[int]]) -> Iterator[int]:
    for rule in failure.follows:
        for tag in failure.about:
            yield from islice((m for m in tagged.get((rule, tag), ()) if m != n), 1)


def _root(n: int, causes: list[tuple[int, ...]]) -> int:
    """The nearest failure behind this one that follows from none; of a circle, the first in it."""
    behind = _behind(n, causes)
    root = next((m for m in behind if not causes[m]), None)
    if root is not None:
        return root
    return min((m for m in behind if m in _behind(m, causes)), default=n)


def _behind(n: int, causes: list[tuple[int, ...]]) -> dict[int, None]:
    """All that a failure follows from, step by step, the nearest first; itself if it is in a circle."""
    behind = dict.fromkeys(causes[n])
    steps = [*behind]
    for m in steps:
        further = [one for one in causes[m] if one not in behind]
        behind |= dict.fromkeys(further)
        steps += further
    return behind
