from __future__ import annotations

from typing import Any

import pytest

from cfgaudit.derive.joints import joints
from cfgaudit.derive.missing import Missing
from cfgaudit.model.sheet import normalise
from tests.audit.bench import sheet


def of(build: Any, model: Any = None) -> Any:
    return joints(model or {}, normalise(build))


def test_the_otter_s_video_unit() -> None:
    assert of(sheet("otter").tree)["device"]["video unit"] == {
        "wires": "T4 to RX, R4 to TX, 9V to supply and GND to ground",
        "speaks": "displayport, 115200 baud, draws 53x20 and 50x18",
        "feed": "9V (9 V)",
        "stands": "7 to 26 V",
        "usb": False,
    }


def test_what_usb_feeds_in_the_vole() -> None:
    devices = of(sheet("vole").tree)["device"]
    fed = {name: one["usb"] for name, one in devices.items()}
    assert fed["receiver"] is fed["floor finder"] is fed["belly lamps"] is True
    assert fed["camera"] is fed["video sender"] is False
    # one wire from the ESC, which has its own supply; a buzzer of which nothing is told
    assert fed["ESC report"] == Missing(("build.devices.4.wires",))
    assert fed["buzzer"] == Missing(("build.devices.6.wires",))


@pytest.mark.parametrize(
    ("volts", "usb", "feed"),
    [
        (5, True, "V (5 V)"),
        (5.5, True, "V (5.5 V)"),
        (5.6, False, "V (5.6 V)"),
        ("battery", False, "V (the pack's voltage)"),
        (None, Missing(("build.board.rails.V.volts",)), "V"),
    ],
)
def test_a_rail(volts: Any, usb: Any, feed: str) -> None:
    build = {"board": {"rails": {"V": {"volts": volts}}}, "devices": [{"gnss": {"wires": {"V": "supply"}}}]}
    device = of(build)["device"]["gnss"]
    assert (device["usb"], device["feed"]) == (usb, feed)


@pytest.mark.parametrize(
    ("feeds", "seen"),
    [
        ({"digital video": "5V"}, True),
        ({"analogue camera": "5V", "analogue video": "9V"}, False),
        ({"analogue camera": "5V", "analogue video": "?"}, False),
        ({"gnss": "5V"}, Missing(("build.devices",))),
    ],
)
def test_the_picture_needs_all_that_make_it(feeds: dict[str, str], seen: Any) -> None:
    devices = [{kind: {"wires": {pad: "supply"}}} for kind, pad in feeds.items()]
    build = {"board": {"rails": {"5V": 5, "9V": 9}}, "devices": devices}
    assert of(build)["picture_on_usb"] == seen


def test_where_the_motors_of_each_direction_stand() -> None:
    heron = of(sheet("heron").tree)
    assert heron["clockwise"] == "front left, right and rear left"
    assert heron["counter_clockwise"] == "front right, left and rear right"
    assert of({})["clockwise"] == Missing(("build.motors.places",))


def test_the_channel_order_in_words() -> None:
    found = of({"radio": {"channel_order": "AETR"}}, {"receiver": {"channel_order": "TAER"}})
    assert found["order"] == "roll, pitch, throttle and yaw"
    assert found["order_set"] == "throttle, roll, pitch and yaw"
    assert of({"radio": {"channel_order": "A1"}})["order"] == Missing(("build.radio.channel_order",))
