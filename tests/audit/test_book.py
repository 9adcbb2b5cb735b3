"""Rule files: those in the box are sound, and each fault of another one is refused where it stands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from cfgaudit.audit.book import book, checked_rules, own_rules, shipped_rules
from cfgaudit.audit.rule import Rule
from cfgaudit.model.place import Place
from cfgaudit.model.placed import load, read_yaml
from cfgaudit.model.refusal import Refusal
from tests.house.checkout import PACKAGE, ROOT

FILES = sorted((ROOT / "rules").glob("*.yaml"))
HAZARDS = {"", "propellers", "meter", "radio"}
HERE = "▸"  # stands in these texts before the node that a refusal must point at


# The rules in the box


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(json.loads((PACKAGE / "audit" / "rule.schema.json").read_text("utf-8")))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_shipped_file_is_valid(file: Path) -> None:
    rules = checked_rules(load(file))
    assert {rule.subject for rule in rules} == {file.stem}
    assert {rule.hazard for rule in rules} <= HAZARDS


def test_the_shipped_rules_are_a_book() -> None:
    assert len(book(shipped_rules())) == len(shipped_rules()) > 50


def test_what_nobody_may_accept_starts_motors_or_lets_the_craft_get_away() -> None:
    never = {rule.id: rule for rule in shipped_rules() if rule.never_accept}
    assert {rule.hazard for rule in never.values()} <= {"propellers", "meter"}
    assert {id for id in (rule.id for rule in shipped_rules()) if id.startswith("arming/")} <= never.keys()
    assert all(rule.never_accept.endswith(".") for rule in never.values())


def test_an_audit_reads_the_same_rules_without_their_cases() -> None:
    quick, thorough = shipped_rules(), shipped_rules(cases=True)
    assert [rule.id for rule in quick] == [rule.id for rule in thorough]
    assert [rule.needed for rule in quick] == [rule.needed for rule in thorough]
    assert not any(rule.cases for rule in quick)
    assert all(rule.cases for rule in thorough)


# Refusals

HEAD = """\
- id: own/one
  level: error
  title: The checks are off
"""
FOOT = """\
  why: Because.
  basis: common practice
  cases:
    - fails: {model: {arming: {checks: false}}}
"""
PLAIN = """\
  expect: model.arming.checks
  say: The checks are off.
"""


def place_of_mark(text: str) -> Place:
    before = text[: text.index(HERE)]
    return Place("own.yaml", before.count("\n") + 1, len(before) - before.rfind("\n"))


def refusal_of(text: str) -> Refusal:
    with pytest.raises(Refusal) as caught:
        checked_rules(read_yaml(text.replace(HERE, ""), "own.yaml"))
    return caught.value


def refused(text: str, *parts: str) -> None:
    """A text is refused where its mark stands, with all these parts in what is said."""
    refusal = refusal_of(text)
    assert refusal.place == place_of_mark(text)
    for part in parts:
        assert part in refusal.what
    assert refusal.mend


def test_the_plain_rule_is_good() -> None:
    (rule,) = checked_rules(read_yaml(HEAD + PLAIN + FOOT, "own.yaml"))
    assert rule.place == Place("own.yaml", 1, 3)


def test_no_failing_case() -> None:
    holds = "    - holds: {model: {arming: {checks: true}}}\n"
    refused(f"- {HERE}" + (HEAD[2:] + PLAIN + FOOT.rsplit("\n", 2)[0] + "\n" + holds), "own/one", "no case")


def test_no_failing_case_in_the_second_rule() -> None:
    second = (HEAD + PLAIN + FOOT).replace("own/one", "own/two").replace("- fails", "- not_judged")
    refused(HEAD + PLAIN + FOOT + f"- {HERE}{second[2:]}", "own/two")


@pytest.mark.parametrize(
    ("body", "part"),
    [
        (f"{PLAIN}  {HERE}hazzard: propellers\n", "hazzard"),
        (f"{PLAIN}  at: {{{HERE}where: [model.arming]}}\n", "where"),
        (f"  {HERE}expct: model.arming.checks\n{PLAIN}", "expct"),
        (f"  say: The checks are off.\n  expect: {HERE}[model.arming.checks]\n", "expect"),
    ],
)
def test_what_the_schema_sees(body: str, part: str) -> None:
    refused(HEAD + body + FOOT, part)


def test_an_unknown_key_in_a_case() -> None:
    refused(HEAD + PLAIN + FOOT + f"    - holds: {{model: {{}}, {HERE}reeding: {{}}}}\n", "reeding")


SAY = "  say: The checks are off.\n"
EXPECT = "  expect: model.arming.checks\n"


@pytest.mark.parametrize(
    "body",
    [
        f"{SAY}  expect: model.arming.checks &&{HERE}\n",
        f"{SAY}  expect: (model.arming.checks{HERE}\n",
        f"{SAY}  expect: model.arming.checks {HERE}= true\n",
        f"{SAY}  expect: >-\n    model.arming.checks\n    {HERE}) || true\n",
        f"{SAY}  expect: >-\n    true &&\n\n      (model.arming\n    .checks {HERE}}} true)\n",
        f"{SAY}  expect: |\n    true &&\n    model.arming.checks &&{HERE}\n\n",
        f"{SAY}  expect: true &&\n    model.arming.checks {HERE}and true\n",
        f"{SAY}  expect: 'model.a == ''x'' &&\n    model.b == ''y'' {HERE}and true'\n",
        f'{SAY}  expect: "model.a == \\"x\\" &&\n    model.b \\x3d= 1 {HERE}and true"\n',
        f"{PLAIN}  when: model.arming.{HERE}\n",
        f"{EXPECT}  say: The checks are {{model.arming. checks +{HERE}}}.\n",
        f"{EXPECT}  say: >-\n    The {{{{checks}}}} {{1}} are\n    {{model.arming. checks +{HERE}}}.\n",
        f"{PLAIN}  needs: model.{{model.{HERE}}}\n",
        f'{PLAIN}  needs: [model.arming, "model.{{model.{HERE}}}"]\n',
        f"{PLAIN}  needs:\n    - model.arming\n    - model.{{model.{HERE}}}\n",
        f'{PLAIN}  at: {{found: [model.arming, "model.{{1 +{HERE}}}"]}}\n',
        f'{PLAIN}  at: {{declared: "build.{{1 +{HERE}}}"}}\n',
        f"{PLAIN}  about: [arming, 'port {{{HERE})}}']\n",
        f"{PLAIN}  mend:\n    arming.checks: '{{true ? {HERE}}}'\n",
        f"{PLAIN}  mend:\n    osd.drive: chip\n    ports.UART1.functions: + {{model.{HERE}}}\n",
        f"{PLAIN}  mend:\n    'arming.{{model.{HERE}}}': true\n",
        f'{PLAIN}  each: port in model.{{model.{HERE}}}\n',
        f'{PLAIN}  each: [port in model.ports, "job in model.{{port.{HERE}}}"]\n',
        f"{EXPECT}  say: Nothing is in {{{HERE}}}.\n",
    ],
)  # fmt: skip
def test_a_syntax_error(body: str) -> None:
    refused(HEAD + body + FOOT, "Syntax error")


@pytest.mark.parametrize(
    ("body", "name"),
    [
        (f"{SAY}  expect: {HERE}arming.checks\n", "'arming'"),
        (f"{SAY}  expect: {HERE}arming . checks\n", "'arming'"),
        (f"{SAY}  expect: model.arming.checks || {HERE}device.port == 'UART1'\n", "'device'"),
        (f"{SAY}  expect: >-\n    model.arming.checks ||\n    {HERE}device.port == 'UART1'\n", "'device'"),
        (f"{EXPECT}  say: The checks are {{{HERE}checks}}.\n", "'checks'"),
        (f"{EXPECT}  say: The é𝄞 are {{1}} {{1 + {HERE}checks}}.\n", "'checks'"),
        (f"{PLAIN}  about: '{{{HERE}port.id}}'\n", "'port'"),
        (f"{PLAIN}  mend:\n    arming.checks: '{{{HERE}on}}'\n", "'on'"),
        (f"{PLAIN}  each: port in model.ports\n  when: {HERE}prt.id == 'USB'\n", "'prt'"),
        (f"{SAY}  expect: model.arming.checks && {HERE}frobbed(model)\n", "no function 'frobbed'"),
    ],
)
def test_an_unknown_name(body: str, name: str) -> None:
    refused(HEAD + body + FOOT, name)


def test_an_unknown_name_is_told_the_names_there_are() -> None:
    refusal = refusal_of(f"{HEAD}{PLAIN}  each: port in model.ports\n  when: prt.id == 'USB'\n{FOOT}")
    assert refusal.mend == "did you mean 'port'? names here are model, build, derived, port"


@pytest.mark.parametrize(
    ("body", "part"),
    [
        (f"{SAY}  expect: model.x && 1 {HERE}+ 'a' == 2\n", "'+' does not work with int and string"),
        (f"{SAY}  expect: >-\n    true &&\n      size{HERE}(1) == 2\n", "'size' does not work with int"),
        (f"{SAY}  expect: |\n    true &&\n    model.x.matches{HERE}(1)\n", "'matches' does not work with"),
        (f"{EXPECT}  say: The checks {{1 {HERE}< 'a'}}.\n", "'<' does not work with int and string"),
        (f"{PLAIN}  when: \"{HERE}'yes'\"\n", "gives STRING, not true or false"),
        (f"{SAY}  expect: {HERE}1 + 1\n", "gives INT, not true or false"),
    ],
)  # fmt: skip
def test_a_type_error(body: str, part: str) -> None:
    refused(HEAD + body + FOOT, part)


@pytest.mark.parametrize(
    ("body", "part"),
    [
        (f"{EXPECT}  say: The checks are {HERE}{{model.arming.checks.\n", "does not close"),
        (f"{PLAIN}  each: {HERE}port of model.ports\n", "is no loop"),
        (f"{PLAIN}  each: {HERE}port in\n", "is no loop"),
        (f"{PLAIN}  each: {HERE}in model.ports\n", "is no loop"),
        (f"{PLAIN}  each: {HERE}a port in model.ports\n", "is no loop"),
        (f"{PLAIN}  each: {HERE}1st in model.ports\n", "is no loop"),
        (f"{PLAIN}  each: [port in model.ports, {HERE}job on port]\n", "is no loop"),
        (f"{PLAIN}  each: [port in model.ports, {HERE}port in model.outputs]\n", "taken"),
        (f"{PLAIN}  each: {HERE}model in model.ports\n", "taken"),
        (f"{PLAIN}  each: {HERE}true in model.ports\n", "taken"),
        # a path from nowhere can never be followed: a slip, not something that a dump leaves out
        (f"{PLAIN}  needs: [model.arming, {HERE}arming.checks]\n", "arming"),
        (f"{PLAIN}  needs: {HERE}modell.arming.checks\n", "modell"),
        (f"{PLAIN}  each: {HERE}port in ports\n", "ports"),
        (f"{PLAIN}  each: [{HERE}job in port.functions, port in model.ports]\n", "port"),
        (f"{PLAIN}  at: {{found: {HERE}arming.checks}}\n", "arming"),
        (f"{PLAIN}  at: {{declared: [build.radio, {HERE}radio.arm]}}\n", "radio"),
        # what is mended is the model: its name does not stand before a path of it
        (f"{PLAIN}  mend:\n    {HERE}model.arming.checks: true\n", "model"),
        (f"{PLAIN}  mend:\n    {HERE}build.radio: true\n", "build"),
    ],
)
def test_a_loop_or_path_that_leads_nowhere(body: str, part: str) -> None:
    refused(HEAD + body + FOOT, part)


def test_a_path_may_begin_with_a_loop() -> None:
    loops = "  each: [port in model.ports, job in port.functions]\n"
    paths = "  needs: [port.functions, job]\n  at: {found: [port.functions], declared: [build.devices]}\n"
    (rule,) = checked_rules(read_yaml(HEAD + PLAIN + loops + paths + FOOT, "own.yaml"))
    assert rule.names == ("port", "job")


# Several files


def rule_called(id: str, file: str) -> tuple[Rule, ...]:
    return checked_rules(read_yaml((HEAD + PLAIN + FOOT).replace("own/one", id), file))


def test_an_id_that_comes_twice() -> None:
    ids = (("own/one", "a.yaml"), ("own/two", "b.yaml"), ("own/one", "c.yaml"))
    with pytest.raises(Refusal) as caught:
        book(*(rule_called(id, file) for id, file in ids))
    assert caught.value.place == Place("c.yaml", 1, 3)
    assert "own/one" in caught.value.what
    assert "a.yaml:1:3" in caught.value.what


def test_an_id_that_comes_twice_in_one_file() -> None:
    twice = checked_rules(read_yaml((HEAD + PLAIN + FOOT) * 2, "own.yaml"))
    with pytest.raises(Refusal) as caught:
        book(twice)
    assert caught.value.place == Place("own.yaml", (HEAD + PLAIN + FOOT).count("\n") + 1, 3)


def test_an_id_of_the_box() -> None:
    with pytest.raises(Refusal, match="serial/job-nowhere"):
        book(shipped_rules(), rule_called("serial/job-nowhere", "own.yaml"))


def test_a_folder_of_own_rules(tmp_path: Path) -> None:
    (tmp_path / "b.yaml").write_text((HEAD + PLAIN + FOOT).replace("own/one", "own/two"))
    (tmp_path / "a.yaml").write_text(HEAD + PLAIN + FOOT)
    (tmp_path / "notes.txt").write_text("- no rule")
    assert [rule.id for rule in own_rules(str(tmp_path))] == ["own/one", "own/two"]


def test_a_folder_without_rules(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="no rules in"):
        own_rules(str(tmp_path))


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="no rules in"):
        own_rules(str(tmp_path / "nowhere"))
