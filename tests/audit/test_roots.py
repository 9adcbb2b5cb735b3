"""Root causes: consequences go under what they follow from, none is lost, and circles end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit.audit import audit, evidence, judged
from cfgaudit.audit.book import checked_rules, shipped_rules
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.finding import Audit
from cfgaudit.audit.rule import Rule
from cfgaudit.model.placed import read_yaml
from tests.audit.bench import sample, sheet

PORTS = {"ports": {"UART1": {"functions": []}, "UART2": {"functions": []}}}


def rule(
    name: str,
    follows: Sequence[str] = (),
    about: Sequence[str] = ("x",),
    each: str = "",
    level: str = "error",
    expect: str = "false",
) -> Rule:
    """A rule that fails, with these roots and tags."""
    text = f"""
- id: own/{name}
  level: {level}
  title: {name}
  each: {[each] if each else []}
  expect: '{expect}'
  say: {name}{" {port.id}" if each else ""}
  about: {[*about]}
  follows: {[f"own/{one}" for one in follows]}
  why: Because.
  basis: common practice
  cases:
    - fails: {{}}
"""
    (made,) = checked_rules(read_yaml(text, "own.yaml"))
    return made


def audited(*rules: Rule) -> Audit:
    return judged(rules, evidence(rules, PORTS, {}, {}, Paper()))


def shape(seen: Audit) -> dict[str, list[str]]:
    """Each root's sentence with those of its consequences."""
    return {root.text: [one.text for one in root.follows] for root in seen.findings}


def test_a_consequence_goes_under_its_root() -> None:
    assert shape(audited(rule("b", ["a"]), rule("a"))) == {"a": ["b"]}


def test_without_the_root_it_stands_by_itself() -> None:
    holds = rule("a", expect="true")
    assert shape(audited(holds, rule("b", ["a"]))) == {"b": []}


def test_without_a_tag_in_common_it_stands_by_itself() -> None:
    assert shape(audited(rule("a", about=["x"]), rule("b", ["a"], about=["y"]))) == {"a": [], "b": []}
    assert shape(audited(rule("a", about=["x"]), rule("b", ["a"], about=[]))) == {"a": [], "b": []}
    assert shape(audited(rule("a", about=["x", "y"]), rule("b", ["a"], about=["z", "y"]))) == {"a": ["b"]}


def test_tags_tell_subjects_apart() -> None:
    a = rule("a", each="port in model.ports", about=["port {port.id}"])
    b = rule("b", ["a"], each="port in model.ports", about=["port {port.id}"])
    assert shape(audited(b, a)) == {"a UART1": ["b UART1"], "a UART2": ["b UART2"]}


def test_consequences_of_consequences_go_under_the_root() -> None:
    rules = (rule("a"), rule("b", ["a"]), rule("c", ["b"]), rule("d", ["c"]))
    for order in permutations(rules):
        (root,) = audited(*order).findings
        assert root.text == "a"
        assert {one.text for one in root.follows} == {"b", "c", "d"}
        assert not any(one.follows for one in root.follows)


def test_a_chain_hangs_on_the_tags_of_its_links() -> None:
    rules = (rule("a", about=["x"]), rule("b", ["a"], about=["x", "y"]), rule("c", ["b"], about=["y"]))
    assert shape(audited(*rules)) == {"a": ["b", "c"]}


def test_a_root_beside_a_circle_is_the_root() -> None:
    rules = (rule("a", ["b"]), rule("b", ["a", "c"]), rule("c"))
    for order in permutations(rules):
        seen = audited(*order)
        assert [root.text for root in seen.findings] == ["c"]
        assert {one.text for one in seen.findings[0].follows} == {"a", "b"}


@pytest.mark.parametrize("length", [1, 2, 3, 5])
def test_a_circle_ends_and_loses_nothing(length: int) -> None:
    names = "abcde"[:length]
    rules = [rule(name, [names[n - 1]]) for n, name in enumerate(names)]
    assert shape(audited(*rules)) == {"a": [*names[1:]]}


def test_what_follows_from_a_circle_goes_under_it() -> None:
    rules = (rule("z", ["a"]), rule("a", ["b"]), rule("b", ["a"]))
    seen = audited(*rules)
    assert sorted(text_of(seen)) == ["a", "b", "z"]
    assert len(seen.findings) == 1


def test_the_weightiest_comes_first_and_weighs_with_its_consequences() -> None:
    rules = (
        rule("note", level="note", about=["1"]),
        rule("warning", level="warning", about=["2"]),
        rule("light", level="note", about=["3"]),
        rule("heavy", ["light"], level="error", about=["3"]),
    )
    seen = audited(*rules)
    assert [one.text for one in seen.findings] == ["light", "warning", "note"]
    assert seen.worst == "error"


def text_of(seen: Audit) -> list[str]:
    return [one.text for root in seen.findings for one in (root, *root.follows)]


NAMES = st.sampled_from("abcdefg")
TAGS = st.sets(st.sampled_from("xyz"), min_size=1)
MADE: dict[tuple[str, tuple[str, ...], tuple[str, ...]], Rule] = {}


@settings(max_examples=40)
@given(st.dictionaries(NAMES, st.tuples(st.sets(NAMES), TAGS)))
def test_no_finding_is_ever_lost(graph: Mapping[str, tuple[set[str], set[str]]]) -> None:
    keys = [(name, tuple(sorted(follows)), tuple(sorted(about))) for name, (follows, about) in graph.items()]
    for key in keys:
        if key not in MADE:
            MADE[key] = rule(*key)
    seen = audited(*(MADE[key] for key in keys))
    assert sorted(text_of(seen)) == sorted(graph)
    for root in seen.findings:  # what follows from something is a root only as one of a circle
        assert not causes(root.text, graph) or root.text in behind(root.text, graph)


def causes(name: str, graph: Mapping[str, tuple[set[str], set[str]]]) -> set[str]:
    follows, about = graph[name]
    return {one for one in follows if one in graph and one != name and graph[one][1] & about}


def behind(name: str, graph: Mapping[str, tuple[set[str], set[str]]]) -> set[str]:
    found: set[str] = set()
    new = causes(name, graph)
    while new:
        found |= new
        new = {further for one in new for further in causes(one, graph)} - found
    return found


def test_of_the_samples_none_is_lost_either() -> None:
    reading, build = sample("otter/after.txt"), sheet("otter")
    together = audit(reading, build, shipped_rules())
    alone = [one for rule in shipped_rules() for one in audit(reading, build, (rule,)).findings]
    assert sorted(text_of(together)) == sorted(one.text for one in alone)
