"""Whatever a dump or a build sheet holds, the figures are worked out or said to be missing: no fault."""

from __future__ import annotations

import copy
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.derive.facts import facts
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.numbers import tables
from cfgaudit.model.value import Json
from tests.audit.bench import sample, sheet
from tests.derive.test_facts import SECTIONS

CRAFTS = ("otter", "heron", "vole")
ODD = st.sampled_from(
    [
        0,
        -1,
        1,
        0.0,
        -0.5,
        1e-9,
        1e300,
        10**30,
        "",
        "x",
        "none",
        True,
        False,
        [],
        {},
        [0],
        ["x", 1],
        {"a": 1},
        7,
    ]
)

Trail = tuple[str | int, ...]


def trails(tree: Json, trail: Trail = ()) -> Iterator[Trail]:
    """Every place of a tree."""
    inner = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, one in inner:
        yield (*trail, key)
        yield from trails(one, (*trail, key))


def altered(tree: dict[str, Json], trail: Trail, value: Json) -> None:
    """Set a value in a tree; what another change has taken away already is left alone."""
    node: Json = tree
    for key in trail[:-1]:
        if isinstance(node, dict) and key in node:
            node = node[str(key)]
        elif isinstance(node, list) and isinstance(key, int) and key < len(node):
            node = node[key]
        else:
            return
    if isinstance(node, dict):
        node[str(trail[-1])] = value
    elif isinstance(node, list) and isinstance(trail[-1], int) and trail[-1] < len(node):
        node[trail[-1]] = value


@pytest.mark.parametrize("craft", CRAFTS)
@given(data=st.data())
@settings(max_examples=120, deadline=None)
def test_no_value_breaks_a_figure(craft: str, data: st.DataObject) -> None:
    model, build = (
        copy.deepcopy(sample(f"{craft}/known-good.txt").model.tree),
        copy.deepcopy(sheet(craft).tree),
    )
    for tree in (model, build):
        every = [*trails(tree)]
        for trail in data.draw(st.lists(st.sampled_from(every), max_size=4)):
            altered(tree, trail, data.draw(ODD))
    assert {*facts(model, build, SECTIONS)} == {*SECTIONS}
    for table in tables(model, build):
        for row in table.rows:
            assert isinstance(row.value, Missing | bool | int | float | str)


@pytest.mark.parametrize("craft", CRAFTS)
def test_each_value_alone(craft: str) -> None:
    """Every place of both trees set to nothing, once each."""
    for which in (0, 1):
        whole = (sample(f"{craft}/known-good.txt").model.tree, sheet(craft).tree)
        for trail in trails(whole[which]):
            for value in (0, "x", {}):
                trees = (copy.deepcopy(whole[0]), copy.deepcopy(whole[1]))
                altered(trees[which], trail, value)
                assert [*tables(*trees)], trail


def test_a_control_rate_of_next_to_nothing_is_of_no_use() -> None:
    made = facts({"loop": {"gyro_hz": 8000, "control_hz": 1e-308}}, {}, {"rotor"})["rotor"]
    assert isinstance(made["divides"], Missing)
