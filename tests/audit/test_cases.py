"""Every shipped rule by its own cases, and by the same cases with something left out of them."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from cfgaudit.audit.audit import evidence
from cfgaudit.audit.book import book, shipped_rules
from cfgaudit.audit.cases import Paper, check_case
from cfgaudit.audit.finding import NotJudged
from cfgaudit.audit.judge import Fails, judge
from cfgaudit.audit.rule import Case, Rule
from cfgaudit.model.sheet import normalise

RULES = book(shipped_rules(cases=True))
IDS = {rule.id for rule in RULES}


@pytest.mark.parametrize(
    ("rule", "case"),
    [
        pytest.param(rule, case, id=f"{rule.id}-{n}-{case.answer}")
        for rule in RULES
        for n, case in enumerate(rule.cases, 1)
    ],
)
def test_case(rule: Rule, case: Case) -> None:
    assert check_case(rule, case) is None


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_nothing_that_is_left_out_makes_a_rule_fail_itself(rule: Rule) -> None:
    for case in rule.cases:
        for model, build in poorer(case):
            seen = evidence((rule,), model, normalise(build), case.reading, Paper())
            for answer in judge(rule, seen):
                if isinstance(answer, NotJudged):
                    assert not answer.missing.startswith("the rule itself fails"), (model, build)
                elif isinstance(answer, Fails):
                    assert "the rule's mend fails" not in answer.finding.mend.cannot, (model, build)


def poorer(case: Case) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """The case's configuration with one branch or leaf of it left out, each in turn."""
    for trail in trails(case.model):
        yield without(case.model, trail), dict(case.build)
    for trail in trails(case.build):
        if trail[:1] != ("devices",) or len(trail) != 3:  # the key that says what a device is
            yield dict(case.model), without(case.build, trail)


def trails(tree: Any, trail: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    inside = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, inner in inside:
        yield (*trail, key)
        yield from trails(inner, (*trail, key))


def without(tree: Any, trail: tuple[str | int, ...]) -> dict[str, Any]:
    poor: dict[str, Any] = copy.deepcopy(dict(tree))
    node: Any = poor
    for key in trail[:-1]:
        node = node[key]
    del node[trail[-1]]
    return poor


# What rules say of each other


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_follows_rules_that_exist(rule: Rule) -> None:
    assert not {*rule.follows} - IDS


def test_no_rule_is_its_own_cause() -> None:
    causes = {rule.id: {*rule.follows} for rule in RULES}
    while causes:  # take away what has no cause left; in a circle everything has one
        free = {id for id, of in causes.items() if not of & causes.keys()}
        assert free, f"these follow each other in a circle: {sorted(causes)}"
        causes = {id: of for id, of in causes.items() if id not in free}
