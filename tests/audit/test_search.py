"""Rules by subject, level and words."""

from __future__ import annotations

import pytest

from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.search import search
from cfgaudit.model.refusal import Refusal

RULES = shipped_rules()


def test_without_a_question_all_are_named() -> None:
    assert tuple(search(RULES)) == RULES


def test_by_subject_and_level() -> None:
    found = [*search(RULES, subject="osd", level="warning")]
    assert found == [rule for rule in RULES if rule.subject == "osd" and rule.level == "warning"]
    assert len(found) > 1


@pytest.mark.parametrize("part", ["id", "title", "why"])
def test_a_word_is_looked_for_everywhere_in_any_letters(part: str) -> None:
    for rule in RULES:
        word = getattr(rule, part)[2:14].upper()
        assert rule in search(RULES, [word])


def test_each_word_must_be_there() -> None:
    both = {rule.id for rule in search(RULES, ["compass", "north"])}
    assert both == {"sensor/alignment"}
    assert not [*search(RULES, ["compass", "propane"])]


def test_a_subject_that_there_is_not() -> None:
    with pytest.raises(Refusal, match="no rule is about wings") as caught:
        [*search(RULES, subject="wings")]
    assert "arming, battery" in caught.value.mend
