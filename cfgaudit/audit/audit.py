"""All rules against one configuration; root causes first, their consequences under them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from cfgaudit.audit.evidence import Bench, Evidence, Source, facts_of_reading, without_missing
from cfgaudit.audit.finding import Audit, Finding, NotJudged
from cfgaudit.audit.judge import Fails, judge
from cfgaudit.audit.rule import Rule
from cfgaudit.derive.facts import facts
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Json


def audit(reading: Reading, sheet: Build, rules: Iterable[Rule]) -> Audit:
    """Judge every rule. Findings come weightiest first, each with its consequences under it."""
    rules = tuple(rules)
    trees = (reading.model.tree, sheet.tree, facts_of_reading(reading))
    return judged(rules, evidence(rules, *trees, Bench(reading, sheet)))


def evidence(
    rules: Iterable[Rule],
    model: Mapping[str, Json],
    build: Mapping[str, Json],
    reading: Mapping[str, Json],
    source: Source,
) -> Evidence:
    """What these rules are judged by: only the derived sections that one of them looks at."""
    wanted = frozenset(section for rule in rules for section in rule.sections)
    figures = {**facts(dict(model), dict(build), wanted, dict(reading)), "reading": dict(reading)}
    derived = {name: without_missing(section) for name, section in figures.items()}  # type: ignore[arg-type]
    return Evidence(model, build, figures, derived, source)  # type: ignore[arg-type]


def judged(rules: Iterable[Rule], seen: Evidence) -> Audit:
    """Judge rules by evidence."""
    failures: list[Fails] = []
    not_judged: list[NotJudged] = []
    holding = []
    for rule in rules:
        answers = tuple(judge(rule, seen))
        failed = [answer for answer in answers if isinstance(answer, Fails)]
        open_ = [answer for answer in answers if isinstance(answer, NotJudged)]
        failures += failed
        not_judged += dict.fromkeys(open_)
        if not failed and not open_:
            holding.append(rule.id)
    return Audit(tuple(sorted(_rooted(failures), key=_weight)), tuple(holding), tuple(not_judged))


def _weight(finding: Finding) -> int:
    return min([finding.level.rank, *(one.level.rank for one in finding.follows)])


def _rooted(failures: list[Fails]) -> list[Finding]:
    """Findings that a root cause explains go under it; all others stand by themselves."""
    tagged: dict[tuple[str, str], list[int]] = {}  # rule and tag → failures, in their order
    for n, failure in enumerate(failures):
        for tag in failure.about:
            tagged.setdefault((failure.finding.rule, tag), []).append(n)
    roots = {n: _root(n, failures, tagged) for n in range(len(failures))}
    follows: dict[int, list[Finding]] = {}
    for n, root in roots.items():
        if root != n:
            follows.setdefault(root, []).append(failures[n].finding)
    return [
        replace(failure.finding, follows=tuple(follows.get(n, ())))
        for n, failure in enumerate(failures)
        if roots[n] == n
    ]


def _root(n: int, failures: list[Fails], tagged: Mapping[tuple[str, str], list[int]]) -> int:
    """The failure that a failure hangs on in the end; itself if on none. Circles end where they began."""
    at, passed = n, {n}
    while True:
        causes = (
            next((m for m in tagged.get((rule, tag), ()) if m not in passed), None)
            for rule in failures[at].follows
            for tag in failures[at].about
        )
        cause = min((m for m in causes if m is not None), default=at)
        if cause == at:
            return at
        passed.add(cause)
        at = cause
