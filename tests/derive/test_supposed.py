"""The supposed dump: it tells everything there is, and of the craft what the sheet says."""

from __future__ import annotations

import pytest
from jsonschema import Draft202012Validator

from cfgaudit.derive.supposed import supposed, variants
from cfgaudit.derive.tree import told
from cfgaudit.model.sheet import normalise
from tests.audit.bench import sample, sheet
from tests.derive.models import SCHEMA

CRAFTS = ("otter", "heron", "vole", "teach")
VALID = Draft202012Validator(SCHEMA)


@pytest.mark.parametrize("craft", CRAFTS)
def test_it_is_a_model(craft: str) -> None:
    for variant in range(variants()):
        assert not [*VALID.iter_errors(supposed(sheet(craft).tree, variant))]


def test_of_no_sheet_at_all_too() -> None:
    for variant in range(variants()):
        assert not [*VALID.iter_errors(supposed({}, variant))]


def test_it_leaves_no_section_out() -> None:
    assert supposed({}).keys() == SCHEMA["properties"].keys()


@pytest.mark.parametrize("path", [("osd", "drive"), ("logging", "device"), ("failsafe", "action")])
def test_each_word_comes_up(path: tuple[str, str]) -> None:
    words = SCHEMA["properties"][path[0]]["properties"][path[1]]["enum"]
    assert {told(supposed({}, variant), *path) for variant in range(variants())} == {*words}


def test_a_switch_is_on_and_off() -> None:
    states = {told(supposed({}, variant), "motors", "bidirectional") for variant in range(variants())}
    assert states == {True, False}


@pytest.mark.parametrize("craft", ["otter", "heron", "vole"])
def test_what_the_sheet_decides_is_as_in_a_good_dump(craft: str) -> None:
    good, made = sample(f"{craft}/known-good.txt").model.tree, supposed(sheet(craft).tree)
    assert motors(good) == motors(made)
    assert jobs(good) == jobs(made)


def motors(model: object) -> dict[object, object]:
    outputs = told(model, "outputs")  # type: ignore[arg-type]
    assert isinstance(outputs, dict)
    return {told(one, "motor"): told(one, "pin") for one in outputs.values() if told(one, "motor")}


def jobs(model: object) -> dict[str, object]:
    ports = told(model, "ports")  # type: ignore[arg-type]
    assert isinstance(ports, dict)
    every = {id: told(port, "functions") for id, port in ports.items()}
    return {id: some for id, some in every.items() if some and some != ["console-link"]}


def test_a_sheet_that_says_odd_things() -> None:
    build = normalise(
        {
            "devices": [{"digital video": {"canvas": "0x0", "port": "UART4"}}],
            "motors": {"places": {"1": {}, "2": {"at": "nowhere", "pad": "M9"}}},
        }
    )
    assert not [*VALID.iter_errors(supposed(build))]
