"""Accepted findings: set apart with their reason; what expires, what is unused, what nobody may accept."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.audit.accept import covers
from cfgaudit.audit.audit import audit, evidence, judged
from cfgaudit.audit.book import checked_rules, shipped_rules
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.finding import Audit, Unused
from cfgaudit.audit.remedy import remedy
from cfgaudit.audit.rule import Rule
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.terms import Acceptance, ForGood, Terms
from tests.audit.bench import sample, sheet

TODAY = date(2026, 6, 1)
MODEL = {"ports": {"UART1": {"functions": ["gnss"]}, "UART2": {"functions": []}}, "osd": {"rows": 3}}


def rule(name: str, more: str = "", each: str = "") -> Rule:
    """A rule that fails."""
    text = f"""
- id: own/{name}
  level: error
  title: {name}
  each: {each or "[]"}
  expect: 'false'
  say: {name}{" {port.id}" if each else ""}
  about: [x]
  why: Because.
  basis: common practice
  cases:
    - fails: {{}}
{more}"""
    (made,) = checked_rules(read_yaml(text, "own.yaml"))
    return made


ONE, PORTS = rule("one"), rule("ports", each="port in model.ports")
NEVER = rule("never", "  never_accept: It flies away.\n")
OPEN = rule("open", "  needs: model.nothing\n")
HOLDS = rule("holds", "  when: 'false'\n")


def accepts(id: str, at: str = "", until: date | ForGood = ForGood(), line: int = 1) -> Acceptance:  # noqa: B008
    return Acceptance(f"own/{id}", at, "for a reason", until, Place("build.yaml", line))


def audited(*entries: Acceptance, rules: tuple[Rule, ...] = (ONE, PORTS), today: date = TODAY) -> Audit:
    return judged(rules, evidence(rules, MODEL, {}, {}, Paper()), entries, today)


def found(seen: Audit) -> set[str]:
    return {one.text for root in seen.findings for one in (root, *root.follows)}


def accepted(seen: Audit) -> set[str]:
    return {one.finding.text for one in seen.accepted}


def said(seen: Audit) -> list[tuple[Unused, str]]:
    return [(one.why, one.text) for one in seen.unheeded]


EVERY = {"one", "ports UART1", "ports UART2"}


def test_nothing_is_accepted_by_itself() -> None:
    seen = audited()
    assert found(seen) == EVERY
    assert (seen.accepted, seen.unheeded) == ((), ())


def test_an_accepted_finding_is_told_and_does_not_count() -> None:
    entry = accepts("one")
    seen = audited(entry, rules=(ONE,))
    assert (seen.findings, seen.holding, seen.worst) == ((), (), "")
    (one,) = seen.accepted
    assert (one.finding.text, one.by) == ("one", entry)
    assert seen.unheeded == ()


@pytest.mark.parametrize(
    ("at", "texts"),
    [
        ("", {"ports UART1", "ports UART2"}),
        ("ports.UART1", {"ports UART1"}),
        ("model.ports.UART1", {"ports UART1"}),
        ("ports", {"ports UART1", "ports UART2"}),
    ],
)
def test_an_acceptance_is_for_a_place_or_what_is_below_it(at: str, texts: set[str]) -> None:
    seen = audited(accepts("ports", at))
    assert accepted(seen) == texts
    assert found(seen) == EVERY - texts
    assert seen.unheeded == ()


@pytest.mark.parametrize("at", ["ports.UART", "ports.UART1.functions", "UART1", "ports.UART3", "Ports.UART1"])
def test_an_acceptance_for_another_place_accepts_nothing(at: str) -> None:
    seen = audited(accepts("ports", at))
    assert found(seen) == EVERY
    assert said(seen) == [
        (Unused.UNUSED, "unused: the rule finds something at ports.UART1, ports.UART2, not there.")
    ]


def test_the_last_day_is_a_day_of_acceptance() -> None:
    for until in (TODAY, date.max, ForGood()):
        seen = audited(accepts("one", until=until))
        assert (accepted(seen), seen.unheeded) == ({"one"}, ())


def test_what_has_expired_is_found_again_and_said() -> None:
    entry = accepts("one", until=date(2026, 5, 31), line=7)
    seen = audited(entry)
    assert (found(seen), accepted(seen)) == (EVERY, set())
    (one,) = seen.unheeded
    assert (one.entry, one.why) == (entry, Unused.EXPIRED)
    assert one.text == (
        "expired, its last day was 2026-05-31: what it accepted is found again: mend it, or set another day."
    )


def test_what_has_expired_and_is_accepted_anew_or_gone_need_not_be_mended() -> None:
    old = accepts("one", until=date(2026, 5, 31))
    for seen in (audited(old, accepts("one")), audited(old, rules=(PORTS,))):
        assert "one" not in found(seen)
        assert said(seen) == [
            (
                Unused.EXPIRED,
                "expired, its last day was 2026-05-31: nothing is left to accept, take the entry out.",
            )
        ]


def test_without_a_day_all_that_have_a_last_one_have_expired() -> None:
    entry = accepts("one", until=date(9999, 12, 30))
    seen = judged((ONE,), evidence((ONE,), MODEL, {}, {}, Paper()), [entry])
    assert [one.why for one in seen.unheeded] == [Unused.EXPIRED]


def test_what_nobody_may_accept_stays_and_the_reason_is_said() -> None:
    seen = audited(accepts("never"), rules=(NEVER,))
    assert (found(seen), seen.worst) == ({"never"}, "error")
    assert said(seen) == [(Unused.NEVER, "cannot be accepted, its finding stays: It flies away.")]


def test_that_nobody_may_accept_it_is_said_before_anything_is_found() -> None:
    holds = rule("never", "  never_accept: It flies away.\n  when: 'false'\n")
    seen = audited(accepts("never", until=date(2000, 1, 1)), rules=(holds,))
    assert said(seen) == [(Unused.NEVER, "cannot be accepted: It flies away.")]


@pytest.mark.parametrize(
    ("entry", "text"),
    [
        (accepts("holds"), "unused: nothing is left to accept, take the entry out."),
        (accepts("open"), "unused: the rule could not be judged."),
        (accepts("other"), "unused: the rule is switched off, or none of those that were asked."),
    ],
)
def test_what_matches_nothing_is_said(entry: Acceptance, text: str) -> None:
    assert said(audited(entry, rules=(HOLDS, OPEN))) == [(Unused.UNUSED, text)]


def test_two_entries_for_one_finding_are_both_used() -> None:
    first, second = accepts("ports", "ports.UART1"), accepts("ports", line=2)
    seen = audited(first, second)
    assert {one.finding.text: one.by for one in seen.accepted} == {
        "ports UART1": first,
        "ports UART2": second,
    }
    assert seen.unheeded == ()


# What follows from what


def test_what_follows_from_an_accepted_finding_is_found_by_itself() -> None:
    rules = (rule("root"), rule("after", "  follows: own/root\n"))
    assert [root.text for root in audited(rules=rules).findings] == ["root"]
    seen = audited(accepts("root"), rules=rules)
    assert [(one.text, one.follows) for one in seen.findings] == [("after", ())]
    assert [one.finding.follows for one in seen.accepted] == [()]


def test_what_follows_from_another_one_too_goes_under_that() -> None:
    rules = (rule("root"), rule("other"), rule("after", "  follows: [own/root, own/other]\n"))
    (root,) = audited(accepts("root"), rules=rules).findings
    assert (root.text, [one.text for one in root.follows]) == ("other", ["after"])


def test_a_consequence_can_be_accepted_alone() -> None:
    rules = (rule("root"), rule("after", "  follows: own/root\n"))
    seen = audited(accepts("after"), rules=rules)
    assert [(one.text, one.follows) for one in seen.findings] == [("root", ())]
    assert accepted(seen) == {"after"}


# Whatever is written

PATHS = st.sampled_from(
    ["", "ports", "ports.UART1", "ports.UART2", "model.ports.UART1", "ports.UART", "osd", "."]
)
DAYS = st.sampled_from([ForGood(), date(2026, 5, 31), TODAY, date.max])
ENTRIES = st.builds(
    accepts, st.sampled_from(["one", "ports", "never", "holds", "open", "other"]), PATHS, DAYS
)
MIXED = (ONE, PORTS, NEVER, HOLDS, OPEN)


@given(st.lists(ENTRIES, max_size=5))
def test_no_finding_is_lost_and_no_entry_forgotten(entries: list[Acceptance]) -> None:
    plain, seen = audited(rules=MIXED), audited(*entries, rules=MIXED)
    assert [*sorted((*found(seen), *accepted(seen)))] == sorted(found(plain))
    assert (seen.holding, seen.not_judged) == (plain.holding, plain.not_judged)
    assert "never" in found(seen)
    for one in seen.accepted:
        assert covers(one.by, one.finding)
        assert not one.by.has_expired(TODAY)
    for entry in entries:
        told = entry in (one.entry for one in seen.unheeded)
        assert told or any(covers(entry, one.finding) for one in seen.accepted)


# The samples

RULES = shipped_rules()


def all_of(seen: Audit) -> Iterator[tuple[str, str]]:
    for root in seen.findings:
        for one in (root, *root.follows):
            yield one.rule, one.at


def test_every_finding_of_the_samples_can_be_named_and_only_what_may_is_accepted() -> None:
    reading, build = sample("otter/after.txt"), sheet("otter")
    every = {*all_of(audit(reading, build, RULES))}
    never = {rule.id for rule in RULES if rule.never_accept}
    assert every
    for id, at in every:
        entry = Acceptance(id, at, "known", ForGood(), Place("build.yaml", 1))
        seen = audit(reading, build, RULES, Terms((entry,)), TODAY)
        if id in never:
            assert {*all_of(seen)} == every
            assert [one.why for one in seen.unheeded] == [Unused.NEVER]
        else:
            assert [(one.finding.rule, one.finding.at) for one in seen.accepted] == [(id, at)]
            assert {*all_of(seen)} == every - {(id, at)}
            assert seen.unheeded == ()


def test_what_is_accepted_is_not_mended() -> None:
    reading, build = sample("otter/after.txt"), sheet("otter")
    terms = Terms((Acceptance("osd/element-outside", "", "known", ForGood(), Place("build.yaml", 1)),))
    plain = remedy(reading, build, RULES, audit(reading, build, RULES))
    kept = remedy(reading, build, RULES, audit(reading, build, RULES, terms, TODAY), terms, TODAY)
    assert [line for line in plain.lines if line not in kept.lines] == ["draw craft at 615"]
    assert kept.cannot == ()
