"""Examples: what a rule calls wrong and right, in the hand of a firmware."""

from __future__ import annotations

from functools import cache

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.example import Example, examples
from cfgaudit.audit.rule import Rule
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import build_from
from tests.audit.bench import reading_of, sample

RULES = shipped_rules(cases=True)
CRAFTS = ("otter", "heron", "vole")


@cache
def head(craft: str) -> str:
    """The remarks that the craft's dumps begin with."""
    dump = sample(f"{craft}/known-good.txt").dump
    return "".join(f"{one.text.rstrip()}\n" for one in dump.statements[:6] if one.kind.value == "remark")


def found(rule: Rule, craft: str, example: Example) -> bool:
    """Whether the rule finds fault with an example, read back from its lines."""
    sheet = build_from(read_yaml("\n".join(example.sheet) or "{}", "build.yaml"))
    reading = reading_of(head(craft) + "".join(f"{line}\n" for line in example.lines), board=sheet)
    return any(one.rule == rule.id for one in audit(reading, sheet, (rule,)).findings)


@pytest.mark.parametrize("craft", CRAFTS)
def test_examples_are_what_they_are_called(craft: str) -> None:
    reading = sample(f"{craft}/known-good.txt")
    whole = 0
    for rule in RULES:
        told = examples(rule, reading)
        for wrong, right in zip(told.wrong, told.right, strict=False):
            if not told.in_hand:
                continue  # this firmware has no lines for it
            if craft == "vole" and "LINK" in str(wrong.lines):
                continue  # whose ports a sheet has to number
            if rule.id.startswith("identity"):
                continue  # the header is the dump's own
            whole += 1
            assert found(rule, craft, wrong), rule.id
            assert not found(rule, craft, right), rule.id
    assert whole > (70 if craft == "vole" else 90)


def test_without_a_dump_the_models_paths_stand_in() -> None:
    rule = next(one for one in RULES if one.id == "arming/checks-off")
    told = examples(rule, None)
    assert told.wrong[0].lines == ("arming.checks = no",)
    assert told.right[0].lines == ("arming.checks = yes",)
    assert told.by_mend


def test_what_is_needed_is_told_by_who_tells_it() -> None:
    rule = next(one for one in RULES if one.id == "serial/job-on-wrong-port")
    assert rule.inputs == (("the build sheet", ("devices.*.port",)), ("the dump", ("ports.*.functions",)))
