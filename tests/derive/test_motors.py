from __future__ import annotations

from typing import Any

import pytest

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.motors import motors, pin
from cfgaudit.derive.tree import Tree

BUILD: Tree = {
    "board": {"motor_pads": {"M1": "PB0", "M2": "B01"}},
    "motors": {"places": {"1": {"at": "rear right", "pad": "M1"}, "2": {"pad": "M2"}}, "magnets": 14},
    "esc": {"protocols": ["oneshot125", "DShot600"]},
}


def places(outputs: Tree, partial: bool = False) -> Any:
    return motors({"outputs": outputs}, BUILD, partial)["place"]


@pytest.mark.parametrize("written", ["B6", "b06", "PB6", "PB06", "PB_6", " pb6 "])
def test_pin(written: str) -> None:
    assert pin(written) == "PB6"


@pytest.mark.parametrize("written", ["none", "6", "PB", "PB123", ""])
def test_no_pin(written: str) -> None:
    assert pin(written) == written


def test_place_pad_output_pin() -> None:
    found = places({"7": {"motor": 1, "pin": "b1"}, "8": {"motor": 2, "pin": "PB1"}})
    assert found["1"] == {"spoken": "Motor 1 (rear right)", "pad_pin": "PB0", "output": "7", "pin": "PB1"}
    assert found["2"] == {"spoken": "Motor 2", "pad_pin": "PB1", "output": "8", "pin": "PB1"}


def test_a_motor_without_output() -> None:
    complete = places({"1": {"motor": 1, "pin": "PB0"}, "2": {"use": "servo", "pin": "PB1"}})["2"]
    assert (complete["output"], complete["pin"]) == ("", "none")


@pytest.mark.parametrize(
    ("outputs", "partial", "needs"),
    [
        ({}, False, ("model.outputs",)),
        ({"1": {"motor": 1, "pin": "PB0"}}, True, ("model.outputs",)),
        ({"1": {"motor": 1, "pin": "PB0"}, "3": {"pin": "PB4"}}, False, ("model.outputs.3.motor",)),
    ],
)
def test_an_output_that_may_exist(outputs: Tree, partial: bool, needs: tuple[str, ...]) -> None:
    assert places(outputs, partial)["2"]["output"] == Missing(needs)
    assert places(outputs, partial)["2"]["pin"] == Missing(needs)


def test_one_pin_for_two() -> None:
    outputs: Tree = {
        "1": {"motor": 1, "pin": "PB0"},
        "2": {"motor": 2, "pin": "B0"},
        "3": {"motor": 3, "pin": "none"},
        "4": {"motor": 4, "pin": "none"},
        "5": {"motor": 5},
    }
    found: Any = motors({"outputs": outputs}, BUILD)["output"]
    assert [found[id]["shares"] for id in outputs] == [[], ["1"], [], [], []]
    assert found["5"]["pin"] == Missing(("model.outputs.5.pin",))


@pytest.mark.parametrize(("bidirectional", "chosen"), [(True, "dshot600"), (False, "oneshot125")])
def test_protocol_to_set(bidirectional: bool, chosen: str) -> None:
    found = motors({"motors": {"bidirectional": bidirectional}}, BUILD)
    assert found["protocol_to_set"] == chosen
    assert found["esc_protocols"] == ["oneshot125", "dshot600"]
    assert found["protocol"] == Missing(("model.motors.protocol",))


def test_pole_ratio() -> None:
    assert motors({"motors": {"poles": 12}}, BUILD)["pole_ratio"] == 1.167
    odd = motors({"motors": {"poles": 13}}, BUILD)["pole_ratio"]
    assert isinstance(odd, Missing)
    assert (odd.needs, "13" in odd.reason) == (("model.motors.poles",), True)
    assert motors({}, BUILD)["pole_ratio"] == Missing(("model.motors.poles",))
