"""What is said about the rules, read from a sheet or from any other file that has it."""

from __future__ import annotations

import os
from datetime import date

import pytest

from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import build_from
from cfgaudit.model.terms import Acceptance, ForGood, LevelChange, RuleFolder, Terms, terms_of

SAID = """\
accepted:
  - rule: osd/element-outside
    at: osd.elements.craft_name
    reason: >-
      nobody reads it,
      not even at night
    until: 2027-03-01
  - {rule: filter/none, reason: quiet motors}
rules:
  folder: club
  levels:
    motor/tip-too-fast: {level: off, reason: rated for it}
    file/lines-unknown:
      level: error
      reason: the dialect knows all
"""


def terms(file: str) -> Terms:
    return Terms(
        accepted=(
            Acceptance(
                "osd/element-outside",
                "osd.elements.craft_name",
                "nobody reads it, not even at night",
                date(2027, 3, 1),
                Place(file, 2, 5),
            ),
            Acceptance("filter/none", "", "quiet motors", ForGood(), Place(file, 8, 5)),
        ),
        levels=(
            LevelChange("motor/tip-too-fast", "off", "rated for it", Place(file, 12, 5)),
            LevelChange("file/lines-unknown", "error", "the dialect knows all", Place(file, 13, 5)),
        ),
        folders=(RuleFolder(os.path.join(os.path.dirname(file), "club"), Place(file, 10, 11)),),
    )


@pytest.mark.parametrize("file", ["build.yaml", "crafts/otter/build.yaml", "/a/build.yaml"])
def test_a_sheet_says_it(file: str) -> None:
    assert build_from(read_yaml(SAID, file)).terms == terms(file)


def test_a_sheet_says_nothing() -> None:
    for text in ("craft: otter", "accepted: []", "rules: {}", "rules: {levels: {}}"):
        assert build_from(read_yaml(text, "b")).terms == Terms()


def test_it_may_stand_anywhere_in_a_file() -> None:
    deeper = "crafts:\n  - otter:\n" + "".join(f"      {line}\n" for line in SAID.splitlines())
    found = terms_of(read_yaml(deeper, "all.yaml"), ("crafts", 0, "otter"))
    assert [(one.rule, one.until) for one in found.accepted] == [
        (one.rule, one.until) for one in terms("all.yaml").accepted
    ]
    assert found.accepted[1].place == Place("all.yaml", 10, 11)
    assert found.levels[0].place == Place("all.yaml", 14, 11)


def test_the_last_day_counts() -> None:
    dated, lasting = terms("b").accepted
    assert [dated.has_expired(day) for day in (date(2027, 2, 28), date(2027, 3, 1), date(2027, 3, 2))] == [
        False,
        False,
        True,
    ]
    assert not lasting.has_expired(date.max)


HERE = "▸"  # stands in these texts before the node that a refusal must point at


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"accepted:\n  - {HERE}rule: a/b\n", "accepted.0 lacks the key 'reason'; add 'reason': the reason"),
        (f"accepted: [{HERE}{{reason: x}}]", "lacks the key 'rule'; add 'rule': a rule's id"),
        (f"accepted: [{{rule: a/b, reason: {HERE}''}}]", "accepted.0.reason is ''"),
        (f"accepted: [{{rule: a/b, reason: {HERE}'  '}}]", "write the reason, in your own words"),
        (f"accepted: [{{rule: a/b, {HERE}reason: }}]", "accepted.0.reason is empty"),
        (f"accepted: [{{rule: a/b, {HERE}reson: x}}]", "did you mean 'reason'?"),
        (f"accepted: [{{rule: {HERE}A/b, reason: x}}]", "accepted.0.rule is 'A/b', which cannot be read"),
        (f"accepted: [{{rule: a/b, reason: x, at: {HERE}''}}]", "accepted.0.at is empty"),
        (f"accepted: [{{rule: a/b, reason: x, until: {HERE}1.3.2027}}]", "write the last day"),
        (f"accepted: [{{rule: a/b, reason: x, until: {HERE}2027}}]", "where text must be"),
        (f"accepted: [{{rule: a/b, reason: x, until: {HERE}2027-02-30}}]", "which no calendar has"),
        (f"accepted: [{{rule: a/b, reason: x, until: {HERE}0000-01-01}}]", "which no calendar has"),
        (f"rules: {{levels: {{a/b: {HERE}{{level: off}}}}}}", "lacks the key 'reason'"),
        (f"rules: {{levels: {{a/b: {{level: {HERE}loud, reason: x}}}}}}", "it can be off, note"),
        (f"rules: {{levels: {{{HERE}b: {{level: off, reason: x}}}}}}", "a key here is a rule's id"),
        (f"rules: {{levels: {{a/b: {HERE}off}}}}", "where keys and values must be"),
        (f"rules: {{{HERE}folders: x}}", "did you mean 'folder'?"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_where_it_stands(text: str, said: str) -> None:
    with pytest.raises(Refusal) as caught:
        build_from(read_yaml(text.replace(HERE, ""), "b"))
    before = text[: text.index(HERE)]
    assert caught.value.place == Place("b", before.count("\n") + 1, len(before) - before.rfind("\n"))
    assert said in str(caught.value)
