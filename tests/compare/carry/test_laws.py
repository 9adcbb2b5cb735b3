"""What holds for every update, whatever the builder and the firmware have changed."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.compare.carry.carry import Plan, plan
from cfgaudit.compare.carry.fate import SURE, Fate
from cfgaudit.compare.carry.three import NotTold, alike
from cfgaudit.compare.difference import canonical
from cfgaudit.compare.nested import JOBS
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.setting import Key, Setting, is_whole
from cfgaudit.dialect.setting import settings as settings_of
from cfgaudit.dialect.sort import sort
from cfgaudit.dump.statement import Kind
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from tests.audit.bench import reading_of, sample
from tests.compare.carry.builder import at_work

FACTORIES = {
    "dunlin 2.3.1": "heron/factory-2.3.1.txt",
    "dunlin 3.0": "heron/factory-3.0.txt",
    "dunlin in use": "heron/known-good.txt",
    "plover": "otter/known-good.txt",
    "plover with an analogue camera": "otter/before.txt",
    "avocet": "vole/known-good.txt",
}
each_factory = pytest.mark.parametrize("name", FACTORIES)
SEEDS = st.integers(0, 2**32)
SHARES = st.sampled_from([0.02, 0.1, 0.5])


@cache
def factory(name: str) -> Reading:
    return sample(FACTORIES[name])


def worked_on(reading: Reading, seed: int, share: float, file: str = "mine.txt") -> Reading:
    """The dump after a builder, or a firmware's maker, has changed some settings."""
    return read_again(reading, at_work(reading, Random(seed), share).text, file)


def read_again(reading: Reading, text: str, file: str) -> Reading:
    """Another text, read as the dump was: on the same board."""
    source = Text(file, text, "utf-8", mark=False)
    return read_dump(source, reading.recognition)


def told(reading: Reading) -> tuple[object, object]:
    """All that a configuration says, in the model and outside it."""
    leaves = {
        path: {*leaf.value} if path[-1] == JOBS and isinstance(leaf.value, tuple) else leaf.value
        for path, leaf in reading.model.leaves.items()
    }
    return leaves, {name: leaf.value for name, leaf in reading.model.settings.items()}


def every(reading: Reading, wholes: Iterable[Key] = ()) -> dict[Key, Setting]:
    """The settings of a dump by themselves, those as whole lines that a plan treats so."""
    lines = {key[0] for key in wholes}
    return {
        one.key: one
        for at, entry in reading.in_force.items()
        for one in settings_of(at, entry, whole=at in lines or is_whole(entry.form))
    }


def wholes(made: Plan) -> list[Key]:
    return [one.triple.named.key for one in made.carried if not one.triple.named.cell]


@each_factory
def test_nothing_to_do_is_an_empty_script(name: str) -> None:
    made = plan(factory(name), factory(name), factory(name))
    assert (made.carried, made.moved, made.script, made.strange) == ((), (), (), ())


@each_factory
@settings(max_examples=6, deadline=None)
@given(SEEDS, SHARES)
def test_onto_the_same_version_the_builders_configuration_comes_back(
    name: str, seed: int, share: float
) -> None:
    mine = worked_on(factory(name), seed, share)
    made = plan(factory(name), mine, factory(name))
    assert {one.fate for one in made.carried} <= {Fate.AS_IT_IS}, made.carried
    assert told(made.planned) == told(mine), [one.text for one in made.script]
    assert not made.moved


@each_factory
@settings(max_examples=6, deadline=None)
@given(SEEDS, SEEDS, SHARES)
def test_a_builders_change_has_one_fate_and_nothing_else_has_any(
    name: str, seed: int, other: int, share: float
) -> None:
    old = factory(name)
    mine, new = worked_on(old, seed, share), worked_on(old, other, share, "new.txt")
    made = plan(old, mine, new)
    keys = [one.triple.named.key for one in made.carried]
    assert len(keys) == len({*keys})
    was, has = every(old, wholes(made)), every(mine, wholes(made))
    changed = {
        key for key in was.keys() | has.keys() if not alike(was.get(key, NotTold()), has.get(key, NotTold()))
    }
    assert {*keys} == changed


@each_factory
@settings(max_examples=6, deadline=None)
@given(SEEDS, SEEDS, SHARES)
def test_the_script_leads_to_what_is_planned(name: str, seed: int, other: int, share: float) -> None:
    old = factory(name)
    mine, new = worked_on(old, seed, share), worked_on(old, other, share, "new.txt")
    made = plan(old, mine, new)
    lines = wholes(made)
    expected = every(new, lines)
    expected |= {one.triple.named.key: one.triple.named for one in made.carried if one.fate in SURE}
    found = every(made.planned, lines)
    assert found.keys() == expected.keys()
    wrong = [key for key in found if not alike(found[key], expected[key])]
    assert not wrong, (wrong, [one.text for one in made.script])


@settings(max_examples=15, deadline=None)
@given(SEEDS, SEEDS, SHARES)
def test_the_script_of_another_version_leads_to_what_is_planned(seed: int, other: int, share: float) -> None:
    old, came = factory("dunlin 2.3.1"), factory("dunlin 3.0")
    mine, new = worked_on(old, seed, share), worked_on(came, other, share, "new.txt")
    made = plan(old, mine, new)
    lines = wholes(made)
    expected = every(new, lines)
    expected |= {one.triple.named.key: one.triple.named for one in made.carried if one.fate in SURE}
    found = every(made.planned, lines)
    assert found.keys() == expected.keys()
    assert [key for key in found if not alike(found[key], expected[key])] == []
    assert not made.planned.doubts


@settings(max_examples=15, deadline=None)
@given(SEEDS, SHARES, st.permutations(["plover", "dunlin 2.3.1", "avocet"]))
def test_another_firmware_gets_what_the_model_can_say(seed: int, share: float, names: list[str]) -> None:
    old, new = factory(names[0]), factory(names[1])
    mine = worked_on(old, seed, share)
    made = plan(old, mine, new)
    was, has = old.model.leaves, mine.model.leaves
    changed = {
        path
        for path in (was.keys() | has.keys()) & (old.givers.keys() | mine.givers.keys())
        if path not in was or path not in has or was[path].value != has[path].value
    }
    paths = [path for one in made.carried for path in one.triple.named.paths]
    assert len(paths) == len({*paths})
    assert {path for path in changed if path[-1] != JOBS} <= {*paths}
    for one in made.carried:
        side = one.triple.mine
        if one.fate in (*SURE, Fate.EQUAL) and isinstance(side, Setting):
            (path,) = side.paths
            leaf = made.planned.model.at(path)
            assert isinstance(leaf, Leaf)
            assert canonical(leaf.value) == canonical(side.value) or path[-1] == JOBS, path
    assert not made.planned.doubts


@each_factory
@settings(max_examples=5, deadline=None)
@given(SEEDS, SHARES)
def test_each_conflict_is_one_that_both_have_changed(name: str, seed: int, share: float) -> None:
    old = factory(name)
    mine, new = worked_on(old, seed, share), worked_on(old, seed + 1, share, "new.txt")
    for one in plan(old, mine, new).carried:
        both = not alike(one.triple.old, one.triple.new)
        assert (one.fate is Fate.CONFLICT) == (both and not alike(one.triple.mine, one.triple.new))


@each_factory
@settings(max_examples=5, deadline=None)
@given(SEEDS, SHARES, st.lists(st.sampled_from(["what is this 7", "x.y = 3", "strange,line"]), max_size=2))
def test_no_line_of_the_builders_is_lost(name: str, seed: int, share: float, strange: list[str]) -> None:
    old = factory(name)
    text = at_work(old, Random(seed), share).text + "".join(f"{line}\n" for line in strange)
    mine = read_again(old, text, "mine.txt")
    made = plan(old, mine, sample("heron/factory-3.0.txt") if "dunlin" in name else old)
    carried = {
        side.entry.statement.line
        for one in made.carried
        for side in (one.triple.mine, one.triple.old)
        if isinstance(side, Setting)
    }
    accounted = carried | {one.line for one in made.strange} | {one.first.line for one in mine.repeats}
    was = every(old)
    known = {entry.statement.line: entry for entry in sort(mine.dialect, mine.dump.statements).entries}
    for statement in mine.dump.statements:
        entry = known.get(statement.line)
        if statement.line in accounted or entry is None or entry.opens:
            assert entry or statement.kind in (Kind.BLANK, Kind.REMARK) or statement.line in accounted
            continue
        for one in settings_of(entry.slot, entry, whole=is_whole(entry.form)):
            assert alike(was[one.key], one), statement.text


def test_a_dump_of_changes_is_laid_over_the_factory_dump() -> None:
    old = sample("heron/factory-2.3.1.txt")
    head = "; dunlin 2.3.1 on Sedge-743 with STM32H743VIT6\n; built 2026-02-17, telling differences\n"
    mine = reading_of(f"{head}[motors]\nidle = 60\n", "mine.txt")
    made = plan(old, mine, sample("heron/factory-3.0.txt"))
    assert [(one.triple.named.label, one.fate) for one in made.carried] == [("motors / idle", Fate.AS_IT_IS)]
    lines = [one.text for one in made.script if not one.remark and not one.text.startswith("[")]
    assert lines == ["idle = 60"]


def test_the_samples_have_every_fate() -> None:
    made = plan(
        *(sample(f"heron/{name}") for name in ("factory-2.3.1.txt", "known-good.txt", "factory-3.0.txt"))
    )
    assert {one.fate for one in made.carried} == {*Fate}
