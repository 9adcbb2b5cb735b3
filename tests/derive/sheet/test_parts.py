"""Single lines of a draft: what each part of a model makes of them."""

from __future__ import annotations

import re
from typing import Any

import pytest
from msgspec.structs import replace

from cfgaudit.derive.sheet.draft import draft
from cfgaudit.derive.tree import told
from cfgaudit.model.place import Default, Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Json
from tests.derive.sheet.drafted import of_model, opened, plain, reading_with


def at(model: dict[str, Any], *path: str) -> Json:
    return told(of_model(model).build.tree, *path)


def devices(model: dict[str, Any]) -> list[Any]:
    listed = at(model, "devices")
    return listed if isinstance(listed, list) else []


def kinds(model: dict[str, Any]) -> list[str]:
    return [one["kind"] for one in devices(model)]


def said(model: dict[str, Any]) -> str:
    """A draft's text without the breaks of its remarks."""
    return " ".join(re.sub(r"^ *#", "", of_model(model).text, flags=re.MULTILINE).split())


def port(*jobs: str, **more: Json) -> dict[str, Json]:
    return {"functions": [*jobs], "rate_baud": 115200, **more}


# devices


@pytest.mark.parametrize(
    ("job", "kind"),
    [
        ("receiver", "receiver"),
        ("telemetry", "telemetry radio"),
        ("displayport", "digital video"),
        ("gnss", "gnss"),
        ("esc-telemetry", "esc telemetry"),
        ("vtx-control", "analogue video"),
        ("flight-log", "flight log"),
        ("mavlink", "companion"),
        ("rangefinder", "rangefinder"),
        ("camera-control", "camera control"),
        ("msp", "other"),
    ],
)
def test_each_job_has_its_kind(job: str, kind: str) -> None:
    (device,) = devices({"ports": {"UART4": port(job)}})
    assert (device["kind"], device["job"], device["port"]) == (kind, job, "UART4")
    assert device["rate_baud"] == 115200


def test_a_door_is_no_device() -> None:
    assert kinds({"ports": {"USB": port("console-link", "msp"), "UART2": port("console-link")}}) == []


def test_what_goes_along_is_no_device_of_its_own() -> None:
    made = of_model({"ports": {"UART1": port("receiver", "telemetry")}})
    assert [one["kind"] for one in told(made.build.tree, "devices")] == ["receiver"]  # type: ignore[union-attr,index,call-overload]
    assert "the dump has it carry telemetry too" in made.text


def test_of_two_that_go_along_with_each_other_the_first_is_the_device() -> None:
    assert kinds({"ports": {"UART1": port("mavlink", "telemetry")}}) == ["companion"]
    assert kinds({"ports": {"UART1": port("telemetry", "mavlink")}}) == ["telemetry radio"]


def test_where_two_cannot_share_a_line_the_draft_says_of_neither_that_it_is_there() -> None:
    made = of_model({"ports": {"UART6": port("gnss", "displayport")}})
    assert [one for one in told(made.build.tree, "devices") if "port" in one] == []  # type: ignore[union-attr,operator]
    assert made.text.count("#port: UART6") == 2


def test_a_digital_unit_that_is_steered_is_no_analogue_sender() -> None:
    model = {"ports": {"UART4": port("vtx-control")}, "osd": {"drive": "displayport"}}
    assert kinds(model) == ["other", "digital video"]


def test_the_osd_s_drive_tells_the_camera() -> None:
    assert kinds({"osd": {"drive": "chip", "standard": "pal"}}) == ["analogue camera"]
    assert kinds({"osd": {"drive": "displayport"}}) == ["digital video"]
    assert kinds({"osd": {"drive": "off"}}) == []


def test_a_rate_that_the_line_finds_by_itself_is_left_out() -> None:
    (device,) = devices({"ports": {"UART4": {"functions": ["gnss"], "rate_baud": 0}}})
    assert "rate_baud" not in device


def test_the_rate_is_that_of_the_job() -> None:
    (device,) = devices(
        {"ports": {"UART4": {"functions": ["gnss"], "rates_baud": {"gnss": 9600, "msp": 50}}}}
    )
    assert device["rate_baud"] == 9600


def test_an_inverted_line_of_one_wire() -> None:
    (device,) = devices({"ports": {"UART1": port("receiver", inverted=True, duplex="half")}})
    assert (device["inverted"], device["duplex"]) == (True, "half")
    (device,) = devices({"ports": {"UART1": port("receiver")}, "receiver": {"inverted": True}})
    assert device["inverted"] is True


def test_outputs_of_other_use() -> None:
    outputs = {
        "5": {"use": "led-strip", "pin": "PA15"},
        "6": {"use": "servo", "pin": "PB1"},
        "7": {"use": "none", "pin": "PB2"},
        "8": {"use": "servo", "pin": "none"},
    }
    assert [(one["kind"], one["name"]) for one in devices({"outputs": outputs})] == [
        ("led strip", "led strip"),
        ("other", "servo"),
    ]


def test_sensors_that_are_used() -> None:
    assert kinds({"sensors": {"barometer": True, "magnetometer": True}}) == ["magnetometer", "barometer"]
    assert kinds({"sensors": {"barometer": False, "magnetometer": False}}) == []


# motors


QUAD = {
    "1": {"throttle": 1, "roll": -1, "pitch": -1, "yaw": -1},
    "2": {"throttle": 1, "roll": -1, "pitch": 1, "yaw": 1},
    "3": {"throttle": 1, "roll": 1, "pitch": -1, "yaw": 1},
    "4": {"throttle": 1, "roll": 1, "pitch": 1, "yaw": -1},
}


def test_the_mixer_tells_the_layout() -> None:
    assert at({"mixer": QUAD}, "motors", "layout") == "quad-x"
    assert at({"mixer": QUAD}, "motors", "places", "3") == {"at": "rear left", "spin": "counter-clockwise"}


def test_a_layout_that_the_mixer_is_not_made_for_has_no_places() -> None:
    model = {"mixer": QUAD, "motors": {"layout": "quad-plus"}}
    assert at(model, "motors", "layout") == "quad-plus"
    assert at(model, "motors", "places", "3") == {"spin": "counter-clockwise"}
    assert "mixer is made for another frame" in said(model)


def test_a_layout_that_nobody_here_knows_is_kept() -> None:
    assert at({"mixer": QUAD, "motors": {"layout": "deadcat-4"}}, "motors", "layout") == "deadcat-4"


def test_of_two_motors_at_one_place_the_draft_asks_which_is_the_upper_one() -> None:
    rows = {str(n): QUAD[str((n - 1) % 4 + 1)] for n in range(1, 9)}
    made = of_model({"mixer": rows})
    assert told(made.build.tree, "motors", "layout") == "x8"
    assert "write top or bottom" in made.text


def test_a_motor_without_a_pin_has_no_pad() -> None:
    outputs = {"1": {"motor": 1, "pin": "none"}, "2": {"motor": 2, "pin": "PB1"}}
    made = of_model({"outputs": outputs})
    assert told(made.build.tree, "board", "motor_pads") == {"M2": "PB1"}
    assert told(made.build.tree, "motors", "places") == {"2": {"pad": "M2"}}
    assert "#1: " in made.text


# values that no sheet can hold


@pytest.mark.parametrize(
    ("model", "path"),
    [
        ({"motors": {"poles": 13}}, ("motors", "magnets")),
        ({"firmware": {"name": "plover", "mcu": "?!"}}, ("board", "chip")),
        ({"receiver": {"channel_order": "AAAA"}}, ("radio", "channel_order")),
        ({"battery": {"cells": 0}}, ("battery", "cells")),
        ({"battery": {"cells": 60}}, ("battery", "cells")),
        ({"motors": {"protocol": "multi-shot"}}, ("esc", "protocols")),
        ({"identity": {"craft_name": ""}}, ("craft",)),
        ({"identity": {"craft_name": "a\x00b"}}, ("craft",)),
        ({"video": {"band": "none"}}, ("video_link", "band_plan")),
    ],
)
def test_what_no_sheet_can_hold_is_a_line_to_fill_in(model: dict[str, Any], path: tuple[str, ...]) -> None:
    made = of_model({"sensors": {"barometer": True}, **model})
    assert told(made.build.tree, *path) is None
    assert f"#{path[-1]}: " in made.text


def test_what_it_was_is_said() -> None:
    assert "the dump says 13, which no build sheet can hold" in of_model({"motors": {"poles": 13}}).text


def test_a_range_upside_down() -> None:
    arm = {"0": {"channel": 5, "from_us": 2100, "to_us": 1700}}
    assert at({"modes": {"arm": arm}}, "radio", "arm") == {"channel": 5}


def test_two_switches_that_arm() -> None:
    arm = {
        "0": {"channel": 5, "from_us": 1700, "to_us": 2100},
        "1": {"channel": 6, "from_us": 1700, "to_us": 2100},
    }
    made = of_model({"modes": {"arm": arm}})
    assert told(made.build.tree, "radio", "arm") == {"from_us": 1700, "to_us": 2100}
    assert "the dump has several that arm" in made.text


# guesses


@pytest.mark.parametrize(
    ("volts", "chemistry"),
    [((3.3, 3.5, 4.2), "lipo"), ((3.3, 3.5, 4.35), "lihv"), ((2.8, 3.0, 4.2), "li-ion")],
)
def test_the_chemistry_is_a_guess_only(volts: tuple[float, float, float], chemistry: str) -> None:
    keys = ("cell_empty_v", "cell_warn_v", "cell_full_v")
    made = of_model({"battery": {**dict(zip(keys, volts, strict=True)), "capacity_mah": 1300}})
    assert told(made.build.tree, "battery") is None
    assert f"#chemistry: {chemistry}" in made.text
    assert "#capacity_mah: 1300" in made.text
    assert "#battery:" in made.text


def test_two_chemistries_that_lie_alike() -> None:
    model = {"battery": {"cell_empty_v": 3.0, "cell_warn_v": 3.3, "cell_full_v": 4.2}}
    assert "lipo or li-ion is a guess" in said(model)


@pytest.mark.parametrize(("device", "key"), [("flash", "page_ms"), ("card", "bytes_s")])
def test_the_log_s_memory(device: str, key: str) -> None:
    made = of_model({"logging": {"device": device, "rate_hz": 1000}})
    assert key in opened(made.text)
    assert told(made.build.tree, "board", "log") is None


# sources


def test_a_line_with_a_private_value_is_not_shown() -> None:
    reading = plain("otter/known-good.txt")
    hidden = replace(reading, private=(("stick.secret", Place(reading.dump.file, 6)),))
    text = draft(hidden).text
    assert "link u1 does" not in text
    assert "line 6: stick.secret (private, not shown)" in text


def test_a_default_is_said_to_be_one() -> None:
    reading = plain("vole/changed-only.txt")
    assert any(isinstance(leaf.origin, Default) for leaf in reading.model.leaves.values())
    assert "a default of avocet that no line changes" in draft(reading).text


def test_hostile_text_stays_in_its_remark() -> None:
    """A dump's line that would end its remark and begin a line of the sheet."""
    reading = plain("otter/known-good.txt")
    first = reading.dump.statements[5]
    odd = replace(first, text="link u1 does\x85esc: 3\u2028board: 4\x1b[2J\n")
    statements = (*reading.dump.statements[:5], odd, *reading.dump.statements[6:])
    made = draft(replace(reading, dump=replace(reading.dump, statements=statements)))
    assert made.build.tree == draft(reading).build.tree
    assert all(line.isprintable() for line in made.text.splitlines())


def test_lines_without_a_meaning_are_counted() -> None:
    reading = plain("otter/known-good.txt")
    odd = replace(reading, unknown=reading.dump.statements[4:6])
    assert "2 lines of the dump have no meaning in this dialect" in draft(odd).text


def test_a_dump_that_tells_nothing() -> None:
    with pytest.raises(Refusal, match="tells nothing that a build sheet could say"):
        draft(reading_with({}))
