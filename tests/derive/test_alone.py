"""Figures of the build sheet alone: no dump can make them others."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from cfgaudit.audit.evidence import facts_of_reading
from cfgaudit.derive.alone import PARTS, figures_alone, parts_of
from cfgaudit.derive.facts import facts
from cfgaudit.derive.missing import Figure, Missing
from cfgaudit.derive.tree import Tree
from tests.audit.bench import sample, sheet
from tests.derive.models import models
from tests.derive.test_facts import SECTIONS

EVERY = (*SECTIONS, "mcu")
CRAFTS = ("otter", "heron", "vole", "teach")
DUMPS = ("otter/known-good.txt", "otter/after.txt", "heron/known-good.txt", "vole/known-good.txt")


def same_with(model: Tree, build: Tree, reading: Tree | None = None) -> None:
    """Every figure that is said to be the sheet's alone is the same beside this model."""
    beside = facts(model, build, EVERY, reading)
    for name, section in figures_alone(build, EVERY).items():
        if name != "file":  # of how a dump was read, without which there is none
            assert_within(section, beside[name], name)


def assert_within(part: Figure, whole: Figure, name: str) -> None:
    """A figure is the same in the whole; of keys and values each is."""
    if not isinstance(part, dict):
        assert part == whole, name
        return
    assert isinstance(whole, dict), name
    for key, figure in part.items():
        assert_within(figure, whole[key], f"{name}.{key}")


@pytest.mark.parametrize("craft", CRAFTS)
@pytest.mark.parametrize("dump", DUMPS)
def test_a_sample_s_dump_changes_none(craft: str, dump: str) -> None:
    reading = sample(dump)
    same_with(reading.model.tree, sheet(craft).tree, facts_of_reading(reading))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(model=models())
def test_no_dump_changes_any(model: dict[str, Any]) -> None:
    same_with(model, sheet("otter").tree)
    same_with(model, sheet("vole").tree)


def test_sections_that_take_no_model_are_whole() -> None:
    build = sheet("otter").tree
    alone = figures_alone(build, EVERY)
    for name in ("power", "video"):
        assert alone[name] == facts({}, build, {name})[name]


def test_what_hangs_on_the_dump_is_left_out() -> None:
    alone = figures_alone(sheet("otter").tree, EVERY)
    assert alone["uart"] == alone["line"] == alone["mcu"] == {}
    assert alone["serial"].keys() == {"device"}
    device = alone["serial"]["device"]
    assert isinstance(device, dict)
    assert all(isinstance(one, dict) and "elsewhere" not in one for one in device.values())


@pytest.mark.parametrize("craft", CRAFTS)
def test_every_part_is_a_figure_of_some_sheet(craft: str) -> None:
    """PARTS names nothing that is not there."""
    build = sheet(craft).tree
    for name, paths in PARTS.items():
        section = facts({}, build, {name})[name]
        for path in paths:
            assert parts_of(section, [path]) or isinstance(section.get(path), Missing), (name, path)
