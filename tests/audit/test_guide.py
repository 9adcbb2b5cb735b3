"""The bench guide: the files in the box are sound, every rule and every setting leads to a step."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from cfgaudit.audit.audit import evidence, evidence_with, judged
from cfgaudit.audit.bench.bench import bench
from cfgaudit.audit.bench.call import Call, calls_of
from cfgaudit.audit.bench.guide import Guide, guide, shipped_guide
from cfgaudit.audit.bench.step import Step
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.rule import Rule
from cfgaudit.model.devices import KINDS
from cfgaudit.model.path import Path as ModelPath
from cfgaudit.model.path import dotted
from cfgaudit.model.placed import load, read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import build_schema, normalise
from tests.audit.bench import sample, sheet
from tests.house.checkout import PACKAGE, ROOT

FILES = sorted((ROOT / "rules" / "bench").glob("*.yaml"))
GUIDE = shipped_guide()
RULES = shipped_rules(cases=True)
MODEL: Any = json.loads((PACKAGE / "model" / "model.schema.json").read_text("utf-8"))
HERE: Any = {
    "dump": "dump.txt", "sheet": "build.yaml", "findings": 0, "changes": 1, "mends": [], "mend_file": "",
    "keep": "keep", "again": "cfgaudit audit new.txt", "same": "cfgaudit diff dump.txt new.txt",
}  # fmt: skip


def steps_for(call: Call, model: Any, build: Any, of: Guide = GUIDE) -> tuple[Step, ...]:
    """The steps that a call has on a craft."""
    seen = evidence_with(of.sections, model, normalise(build), {"extent": "full"}, Paper())
    return tuple(step for step in bench(of, (call,), seen, HERE) if call in step.calls)


def looking(steps: tuple[Step, ...]) -> set[str]:
    """Those of them that are for what the call is about, not for anything that has no step of its own."""
    named = {one.name: one for one in GUIDE.templates}
    return {
        step.name
        for step in steps
        if not named[step.name].otherwise and (named[step.name].wanted.looks or named[step.name].about)
    }


# The files in the box


def test_the_schema_is_one() -> None:
    schema = (PACKAGE / "audit" / "bench" / "guide.schema.json").read_text("utf-8")
    Draft202012Validator.check_schema(json.loads(schema))


def test_the_shipped_files_stand_every_check() -> None:
    assert len(FILES) == len(GUIDE.stages) == 6
    thorough = guide((), map(load, FILES))
    assert [one.name for one in thorough.templates] == [one.name for one in GUIDE.templates]
    assert thorough.mentions == GUIDE.mentions


def test_stages_come_in_the_order_of_their_files() -> None:
    assert [*GUIDE.stages] == sorted(GUIDE.stages)
    assert [one.stage for one in GUIDE.templates] == sorted(one.stage for one in GUIDE.templates)


def test_the_rules_that_it_names_exist() -> None:
    ids = {rule.id for rule in RULES}
    subjects = {f"{rule.subject}/*" for rule in RULES}
    for one in GUIDE.templates:
        assert {*one.wanted.rules, *one.wanted.but} <= ids | subjects, one.name


def children(schema: Any, root: Any) -> tuple[dict[str, Any], Any]:
    """The keys that a schema names, and the schema of all others."""
    if "$ref" in schema:
        schema = {**root["$defs"][schema["$ref"].rpartition("/")[2]], **schema}
    return schema.get("properties", {}), schema.get("additionalProperties") or schema.get("items")


def exists(path: ModelPath, schema: Any, root: Any) -> bool:
    if not path:
        return True
    named, other = children(schema, root)
    below = named.get(path[0], other if isinstance(other, dict) else None)
    return below is not None and exists(path[1:], below, root)


def test_the_paths_that_it_names_exist() -> None:
    schemas = {"model": MODEL, "build": build_schema()}
    for one in GUIDE.templates:
        for path in one.wanted.paths:
            assert exists(path[1:], schemas[path[0]], schemas[path[0]]), (one.name, dotted(path))


# Everything leads to a step


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_leads_to_a_step(rule: Rule) -> None:
    """Each of its failing cases calls for a step that was written for such a thing."""
    failing = [case for case in rule.cases if case.answer == "fails"]
    assert failing
    for case in failing:
        build = normalise(dict(case.build))
        seen = evidence((rule,), case.model, build, case.reading, Paper())
        for call in calls_of(judged((rule,), seen).findings, lambda _: ""):
            assert looking(steps_for(call, case.model, build)), (case.place, call.text)


def leaves(schema: Any, path: ModelPath = ()) -> Iterator[ModelPath]:
    """The paths of all leaves of a schema; ``*`` for keys that it does not name."""
    named, other = children(schema, MODEL)
    if not named and not isinstance(other, dict):
        yield path
    for key, inner in named.items():
        yield from leaves(inner, (*path, key))
    if isinstance(other, dict) and "items" not in schema:
        yield from leaves(other, (*path, "*"))


def filled(path: ModelPath, tree: Any) -> ModelPath | None:
    """A path with keys that a model has in place of ``*``."""
    if not path:
        return ()
    for key in [*tree] if path[0] == "*" and isinstance(tree, dict) else [path[0]]:
        below = filled(path[1:], tree.get(key) if isinstance(tree, dict) else None)
        if below is not None and key != "*":
            return (key, *below)
    return None


CRAFT = {"otter": "known-good.txt", "heron": "known-good.txt", "vole": "known-good.txt"}


@pytest.mark.parametrize("craft", CRAFT)
@pytest.mark.parametrize("path", [*leaves(MODEL)], ids=dotted)
def test_every_setting_leads_to_a_step(path: ModelPath, craft: str) -> None:
    model = sample(f"{craft}/{CRAFT[craft]}").model.tree
    real = filled(path, model)
    if real is None:
        pytest.skip("this firmware has nothing of the kind")
    call = Call("a change", "a change: 1 → 2", (), (("model", *real),), ())
    assert looking(steps_for(call, model, sheet(craft).tree)), dotted(real)


def test_every_setting_is_one_of_some_craft_or_of_none_on_purpose() -> None:
    models = [sample(f"{craft}/{file}").model.tree for craft, file in CRAFT.items()]
    untold = {dotted(path) for path in leaves(MODEL) if not any(filled(path, one) for one in models)}
    assert untold == set()


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_device_is_tried_at_last(kind: str) -> None:
    """A device whose port was changed is followed by its wires, and then seen to work."""
    build: Any = {"devices": [{kind: {"name": "the thing", "port": "UART4", "rate_baud": 9600}}]}
    model: Any = {"ports": {"UART4": {"functions": ["msp"], "rate_baud": 9600}}}
    call = Call("a change", "a change", (), (("model", "ports", "UART4", "functions"),), ())
    steps = steps_for(call, model, build)
    tried = [step for step in steps if step.stage.number >= 3]
    assert "wires" in looking(steps)
    assert tried or kind in ("magnetometer", "barometer"), "these hang on no serial port"


# Words


@cache
def said() -> tuple[tuple[str, str], ...]:
    """Every text of the guide, with its step."""
    return tuple((one.name, phrase.text) for one in GUIDE.templates for phrase in one.phrases)


def test_nothing_is_called_safe() -> None:
    assert not [text for _, text in said() if "safe" in text.replace("failsafe", "")]


def test_sentences_end_as_sentences() -> None:
    for one in GUIDE.templates:
        for phrase in (*one.do, *one.see, *one.if_not):
            assert phrase.text.endswith((".", "}")), phrase.text
            assert phrase.text[0].isupper() or phrase.text[0] in "{“", phrase.text


def test_powers_are_in_order() -> None:
    """No step before the battery's stage tells to plug it in, none after the first to put propellers on."""
    assert GUIDE.stages[0].number == 0
    for one in GUIDE.templates:
        words = " ".join(phrase.text for phrase in one.do)
        if "lug the battery in" in words:
            assert one.stage == 4
        if "propellers on" in words:
            assert one.stage == 5


# Guides of one's own

OWN = """\
stage: 3
steps:
  - step: horn
    for: {rules: [own/horn]}
    do: Press the button of the horn.
    see: It sounds.
    if_not: Its wire is loose.
"""


def own(text: str) -> Guide:
    return guide([load(file) for file in FILES], [read_yaml(text, "own.yaml")])


def test_own_steps_come_after_those_of_the_box() -> None:
    names = [one.name for one in own(OWN).templates if one.stage == 3]
    assert names[-1] == "horn"
    assert own(OWN).stages[3] == GUIDE.stages[3]
    call = Call("own/horn", "The horn is mute.", ("own/horn",), (), ())
    assert [step.name for step in steps_for(call, {}, {}, own(OWN))] == ["settle", "horn"]


def test_a_folder_of_rules_may_have_a_guide(tmp_path: Path) -> None:
    assert shipped_guide(str(tmp_path)).templates[-1].name == GUIDE.templates[-1].name
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / "horn.yaml").write_text(OWN, "utf-8")
    assert shipped_guide(str(tmp_path)).templates[-1].name == "horn"


@pytest.mark.parametrize(
    ("old", "new", "line", "part"),
    [
        ("stage: 3", "stage: 9", 1, "stage 9 has no title"),
        ("step: horn", "step: gnss", 3, "the step gnss is also at"),
        (
            "see: It sounds.",
            "see: '{model.osd.rows} of them.'",
            6,
            "see of the step horn may come to nothing",
        ),
        ("see: It sounds.", "see: [It sounds., '{model.}']", 6, "Syntax error"),
        ("see: It sounds.", "see: [It sounds., '{horn}']", 6, "nothing is called 'horn' here"),
        ("    see: It sounds.\n", "", 3, "lacks the key 'see'"),
        ("own/horn", "horn", 4, "cannot be read"),
        ("do:", "later: {after: nothing, when: 'true'}\n    do:", 3, "no step is called 'nothing'"),
        ("do:", "each: here in build.devices\n    do:", 5, "'here' is taken"),
        ("do:", "each: x of y\n    do:", 5, "is no loop"),
        ("do:", "each: x in devices\n    do:", 5, "'devices' is no start"),
        ("do:", "each: 'x in model.modes.{here.dump}'\n    do:", 5, "has a figure"),
        ("do:", "each: x in model.modes\n    about: [y.z]\n    do:", 6, "'y' is no start"),
        ("{rules: [own/horn]}", "{when: call.}", 4, "Syntax error"),
    ],
)
def test_what_is_refused(old: str, new: str, line: int, part: str) -> None:
    with pytest.raises(Refusal) as caught:
        own(OWN.replace(old, new))
    assert part in caught.value.what
    assert caught.value.place is not None
    assert (caught.value.place.file, caught.value.place.line) == ("own.yaml", line)
    assert caught.value.mend
