"""Rules that a user switches off or gives another level, and those that stay as they are."""

from __future__ import annotations

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Level
from cfgaudit.audit.weigh import weighed
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.terms import Acceptance, ForGood, LevelChange, Terms
from tests.audit.bench import sample, sheet

RULES = shipped_rules()
HERE = Place("build.yaml", 5, 3)
AFTER, OTTER = sample("otter/after.txt"), sheet("otter")
NEVER = sorted(rule.id for rule in RULES if rule.never_accept and rule.level is Level.ERROR)


def change(rule: str, level: str) -> LevelChange:
    return LevelChange(rule, level, "for a reason", HERE)


def terms(*changes: LevelChange) -> Terms:
    return Terms(levels=changes)


def test_a_rule_that_is_off_is_not_asked() -> None:
    off = change("osd/element-outside", "off")
    seen, plain = audit(AFTER, OTTER, RULES, terms(off)), audit(AFTER, OTTER, RULES)
    assert {one.rule for one in plain.findings} - {one.rule for one in seen.findings} == {off.rule}
    assert off.rule not in seen.holding
    assert [(one.rule, one.level, one.change) for one in seen.weighed] == [(off.rule, Level.WARNING, off)]


@pytest.mark.parametrize("level", ["note", "error"])
def test_a_rule_weighs_what_it_is_said_to(level: str) -> None:
    seen = audit(AFTER, OTTER, RULES, terms(change("osd/element-outside", level)))
    assert [one.level for one in seen.findings if one.rule == "osd/element-outside"] == [level]
    assert seen.holding == audit(AFTER, OTTER, RULES).holding


def test_what_a_rule_weighs_already_is_no_change() -> None:
    assert weighed(RULES, [change("osd/element-outside", "warning")]) == (RULES, ())


def test_a_rule_that_is_not_there_changes_nothing() -> None:
    assert weighed(RULES, [change("own/other", "off")]) == (RULES, ())


@pytest.mark.parametrize("id", NEVER)
@pytest.mark.parametrize("level", ["off", "note", "warning"])
def test_what_nobody_may_accept_nobody_may_silence(id: str, level: str) -> None:
    with pytest.raises(Refusal) as caught:
        weighed(RULES, [change(id, level)])
    assert caught.value.place == HERE
    (why,) = (rule.never_accept for rule in RULES if rule.id == id)
    done = "switched off" if level == "off" else "lowered"
    assert caught.value.what == f"{id} cannot be {done}: {why.removesuffix('.')}"


def test_what_nobody_may_accept_may_weigh_more() -> None:
    ((rule,), (done,)) = weighed(
        [one for one in RULES if one.id == "motor/reversible-undeclared"],
        [change("motor/reversible-undeclared", "error")],
    )
    assert (rule.level, done.level) == (Level.ERROR, Level.WARNING)


def test_what_follows_from_a_rule_that_is_off_is_found_by_itself() -> None:
    seen = audit(AFTER, OTTER, RULES, terms(change("osd/drive-does-not-fit", "off")))
    assert "osd/displayport-not-used" in {one.rule for root in seen.findings for one in (root, *root.follows)}


def test_an_acceptance_for_a_rule_that_is_off_is_unused() -> None:
    entry = Acceptance("osd/element-outside", "", "known", ForGood(), HERE)
    both = Terms((entry,), (change("osd/element-outside", "off"),))
    assert [one.text for one in audit(AFTER, OTTER, RULES, both).unheeded] == [
        "unused: the rule is switched off, or none of those that were asked."
    ]
