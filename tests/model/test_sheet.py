"""The build sheet: what may be written, what rules see of it, and where each thing stands."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.model.devices import ALSO_CALLED, JOBS, KINDS, kind_of
from cfgaudit.model.place import Place
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build, build_from, build_schema, normalise, read_build
from cfgaudit.model.value import Json

OTTER = """\
craft: otter
board:
  name: Reed-405
  firmware: plover >= 4.1
  ports:
    UART1: {tx: PA9, rx: PA10}
    USART4: {tx: a0, rx: PA_1, inverts: yes}
    USB:
  motor_pads: {M1: PB00, M2: none}
  rails: {5V: {volts: 5, amps: 2}, 9V: 9, BAT: Battery}
devices:
  - receiver:
      port: uart1
      speaks: CRSF
      wires: {T1: rx, R1: Tx, 5V: VCC, GND: gnd}
  - digital video:
      name: video unit
      port: UART4
      canvas: 53 x 20
      supply_v: 7-26V
  - buzzer
  - led strip:
  - GPS: {rates_baud: 9600, job: msp}
  - other: {job: none, duplex: Half}
esc: {protocols: DShot 600, bidirectional: on, cells: 3S to 6S}
motors:
  layout: Quad X
  reversible: no
  places:
    - {at: Back-Right, pad: M1, spin: cw}
    - {at: front right, pad: M2, spin: counterclockwise}
propeller: 5x4.3x3
battery: {chemistry: LiPo, cells: 6S}
radio: {channel_order: aetr, arm: {channel: AUX1, from_us: 1700, to_us: 2100}}
video_link: {kind: analog, country: no}
accepted:
  - {rule: battery/capacity, reason: two packs}
""".replace("GPS", "gps")


def otter() -> Build:
    return build_from(read_yaml(OTTER, "build.yaml"))


def refused(text: str) -> Refusal:
    with pytest.raises(Refusal) as caught:
        build_from(read_yaml(text, "build.yaml"))
    return caught.value


def test_the_tree_has_one_spelling() -> None:
    assert otter().tree == {
        "craft": "otter",
        "board": {
            "name": "Reed-405",
            "firmware": {"name": "plover", "versions": ">= 4.1"},
            "ports": {
                "UART1": {"tx": "PA9", "rx": "PA10"},
                "UART4": {"tx": "PA0", "rx": "PA1", "inverts": True},
                "USB": {},
            },
            "motor_pads": {"M1": "PB0"},
            "rails": {"5V": {"volts": 5, "amps": 2}, "9V": {"volts": 9}, "BAT": {"volts": "battery"}},
        },
        "devices": [
            {
                "kind": "receiver",
                "name": "receiver",
                "job": "receiver",
                "port": "UART1",
                "speaks": "crsf",
                "wires": {"T1": "RX", "R1": "TX", "5V": "supply", "GND": "ground"},
            },
            {
                "kind": "digital video",
                "name": "video unit",
                "job": "displayport",
                "port": "UART4",
                "canvas": ["53x20"],
                "supply_v": [7, 26],
            },
            {"kind": "buzzer", "name": "buzzer"},
            {"kind": "led strip", "name": "led strip"},
            {"kind": "gnss", "name": "gnss", "job": "msp", "rates_baud": [9600]},
            {"kind": "other", "name": "other", "duplex": "half"},
        ],
        "esc": {"protocols": ["dshot600"], "bidirectional": True, "cells": [3, 6]},
        "motors": {
            "layout": "quad-x",
            "reversible": False,
            "places": {
                "1": {"at": "rear right", "pad": "M1", "spin": "clockwise"},
                "2": {"at": "front right", "pad": "M2", "spin": "counter-clockwise"},
            },
        },
        "propeller": {"inches": 5, "pitch_inches": 4.3, "blades": 3},
        "battery": {"chemistry": "lipo", "cells": 6},
        "radio": {"channel_order": "AETR", "arm": {"channel": 5, "from_us": 1700, "to_us": 2100}},
        "video_link": {"kind": "analogue", "country": "NO"},
        "accepted": [{"rule": "battery/capacity", "reason": "two packs"}],
    }


def test_normalising_twice_changes_nothing() -> None:
    tree = otter().tree
    assert normalise(tree) == tree


@pytest.mark.parametrize(
    ("path", "line", "column"),
    [
        (("craft",), 1, 8),
        (("board",), 2, 1),
        (("board", "firmware", "versions"), 4, 13),
        (("board", "ports", "UART4", "inverts"), 7, 41),
        (("board", "ports", "UART9"), 5, 3),
        (("board", "rails", "9V", "volts"), 10, 40),
        (("devices", "0"), 12, 5),
        (("devices", "0", "kind"), 12, 5),
        (("devices", "0", "wires", "T1"), 15, 19),
        (("devices", "1", "port"), 18, 13),
        (("devices", "1", "canvas", "0"), 19, 15),
        (("devices", "1", "rate_baud"), 16, 5),
        (("devices", "2", "name"), 21, 5),
        (("devices", "3"), 22, 5),
        (("devices", "9"), 11, 1),
        (("devices", "x"), 11, 1),
        (("esc", "cells", "1"), 25, 55),
        (("motors", "places", "2", "pad"), 31, 30),
        (("motors", "places", "0"), 29, 3),
        (("motors", "places", "3"), 29, 3),
        (("propeller", "blades"), 32, 12),
        (("radio", "arm", "rest_us"), 34, 35),
        (("nothing",), 1, 1),
        ((), 1, 1),
    ],
)
def test_places_of_the_tree(path: tuple[str, ...], line: int, column: int) -> None:
    assert otter().place(path) == Place("build.yaml", line, column)


def test_lines() -> None:
    build = otter()
    assert build.line(build.place(("devices", "1", "port"))) == "port: UART4"
    assert build.line(build.place(("devices", "1"))) == "- digital video:"


def test_motors_by_number_have_their_places() -> None:
    build = build_from(read_yaml("motors: {places: {2: {pad: M2}, 1: {pad: M1}}}", "b"))
    assert build.place(("motors", "places", "1", "pad")) == Place("b", 1, 42)


@pytest.mark.parametrize(
    ("written", "firmware"),
    [
        ("plover", {"name": "plover", "versions": ""}),
        ("plover 4.1", {"name": "plover", "versions": "4.1"}),
        ("plover>=4.1", {"name": "plover", "versions": ">= 4.1"}),
        ("plover >=4.1, <5", {"name": "plover", "versions": ">= 4.1 < 5"}),
        ("plover = 4.1.2", {"name": "plover", "versions": "== 4.1.2"}),
        ("{name: plover}", {"name": "plover", "versions": ""}),
        ("{name: plover, versions: '<5'}", {"name": "plover", "versions": "< 5"}),
    ],
)
def test_firmware(written: str, firmware: Json) -> None:
    build = build_from(read_yaml(f"board:\n  firmware: {written}\n", "b"))
    assert build.tree["board"] == {"firmware": firmware}


@pytest.mark.parametrize(
    "text",
    [
        "esc: {cells: 6}",
        "esc: {cells: 4S}",
        "devices: [{receiver: {supply_v: 5}}]",
        "devices: [{receiver: {supply_v: 4.5–5.5 V}}]",
        "devices: [{digital video: {canvas: [53x20, 50×18]}}]",
        "devices: [{receiver: {rates_baud: [115200, 420000], inverted: true}}]",
        "devices: []",
        "board: {rails: {3.3V: 3.3, BAT: {volts: battery}}}",
        "board: {motor_pads: {1: PB0}}",
        "propeller: 5 x 4.3",
        "propeller: {inches: 5}",
        "motors: {layout: hexa-x, places: {1: {}}}",
        "battery: {chemistry: Li-Ion, cells: 6}",
        "video_link: {air_channel: 4, ground_channel: R4, band_plan: F}",
        "accepted: [{rule: a/b, reason: x, until: 2027-03-01}, {rule: a/b, at: osd, reason: x}]",
        "rules: {folder: mine, levels: {a/b: {level: off, reason: x}}}",
    ],
)
def test_what_builders_write(text: str) -> None:
    tree = build_from(read_yaml(text, "b")).tree
    assert normalise(tree) == tree


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        ("crfat: otter", (1, 1), "did you mean 'craft'"),
        ("devices:\n  - digital video:\n      prot: UART4\n", (3, 7), "did you mean 'port'"),
        ("devices:\n  - digtal video: {}\n", (2, 5), "did you mean 'digital video'"),
        ("devices:\n  - digtal video\n", (2, 5), "did you mean 'digital video'"),
        ("devices:\n  - receiver:\n    port: UART1\n", (2, 5), "indented below"),
        ("devices:\n  receiver:\n    port: UART1\n", (1, 1), "a list of what is wired"),
        ("devices: [{receiver: {port: UART}}]", (1, 29), "the serial port that it is soldered to"),
        ("devices: [{receiver: {port: }}]", (1, 23), "port is empty"),
        ("devices: [{receiver: {wires: {T1: suply}}}]", (1, 35), "did you mean 'supply'"),
        ("devices: [{receiver: {supply_v: [26, 7]}}]", (1, 33), "upside down"),
        ("devices: [{receiver: {supply_v: [7]}}]", (1, 33), "1 entry instead of 2"),
        ("esc: {cells: 6-3}", (1, 14), "upside down"),
        ("radio: {arm: {from_us: 2000, to_us: 1000}}", (1, 24), "upside down"),
        ("radio: {channel_order: AETT}", (1, 24), "A roll, E pitch, T throttle, R yaw"),
        ("board:\n  ports: {uart4: {}, USART4: {}}", (2, 22), "the same port as uart4"),
        ("board: {ports: {UART4: {tx: PZ9}}}", (1, 29), "for example PB6"),
        ("board: {firmware: '>= 4'}", (1, 19), "for example plover >= 4.1"),
        ("motors: {places: {0: {}}}", (1, 19), "a motor's number, from 1"),
        ("motors: {places: {1: {at: up}}}", (1, 27), "for example rear right"),
        ("motors: {magnets: 13}", (1, 19), "a multiple of 2"),
        ("battery: {chemistry: lipoo}", (1, 22), "did you mean 'lipo'"),
        ("esc: {bidirectional: maybe}", (1, 22), "yes, no"),
        ("video_link: {country: NLD}", (1, 23), "its two letters"),
        ("[]", (1, 1), "the build sheet is a list"),
    ],
)
def test_refused_with_place(text: str, place: tuple[int, int], said: str) -> None:
    fault = refused(text)
    assert said in str(fault)
    assert fault.place == Place("build.yaml", *place)


def test_rule_cases_may_hold_any_part() -> None:
    assert normalise({}) == {}
    assert normalise({"devices": [{"receiver": {"port": "UART1"}}]}) == {
        "devices": [{"kind": "receiver", "name": "receiver", "job": "receiver", "port": "UART1"}]
    }
    assert normalise({"esc": {"bidirectional": "yes", "amps": None}}) == {"esc": {"bidirectional": True}}
    assert normalise({"devices": [{"kind": "gnss", "port": "UART6"}], "craft": None}) == {
        "devices": [{"kind": "gnss", "name": "gnss", "job": "gnss", "port": "UART6"}]
    }


WORDS = st.sampled_from(
    [
        "yes",
        "UART4",
        "uart4",
        "PB06",
        "none",
        "7-26V",
        "6S",
        "53 x 20",
        "plover >= 4.1",
        "5x4x3",
        "aux1",
        "",
        "É",
    ]
)
KEYS = st.one_of(
    st.sampled_from(["board", "firmware", "versions", "name", "ports", "UART1", "tx", "rails", "volts"]),
    st.sampled_from(["devices", "receiver", "kind", "job", "port", "canvas", "wires", "supply_v"]),
    st.sampled_from(["esc", "cells", "protocols", "bidirectional", "motors", "layout", "places", "at"]),
    st.sampled_from(["propeller", "battery", "radio", "arm", "channel", "video_link", "country"]),
)
TREES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | WORDS | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, TREES, max_size=5))
@settings(max_examples=150, deadline=1000)
def test_any_tree_is_normalised_and_stays_so(data: dict[str, Json]) -> None:
    before = json.dumps(data)
    once = normalise(data)
    assert json.dumps(data) == before
    assert json.dumps(normalise(once)) == json.dumps(once)


def valid(schema: Any, root: Any) -> st.SearchStrategy[Any]:
    """Data of a sheet's part: its examples, and objects made of those of its keys."""
    while "$ref" in schema:
        aim = root["$defs"][schema["$ref"].rpartition("/")[2]]
        schema = {**aim, **{key: value for key, value in schema.items() if key != "$ref"}}
    ways = [st.sampled_from(schema["examples"])]
    if "enum" in schema:
        ways.append(st.sampled_from(schema["enum"]))
    if "properties" in schema:
        inner = {key: valid(one, root) for key, one in schema["properties"].items()}
        must = {key: inner.pop(key) for key in schema.get("required", ())}
        ways.append(st.fixed_dictionaries(must, optional=inner))
    if schema.get("type") == "array" and "items" in schema:
        ways.append(st.lists(valid(schema["items"], root), max_size=3))
    return st.one_of(ways)


@given(valid(build_schema(), build_schema()).filter(bool))
@settings(max_examples=60, deadline=2000)
def test_every_sheet_the_schema_means_is_read(data: Any) -> None:
    build = build_from(read_yaml(json.dumps(data, ensure_ascii=False), "b"))
    assert normalise(build.tree) == build.tree
    for path in paths(build.tree):
        assert build.line(build.place(path))


def paths(tree: Json, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    inner: list[tuple[str, Json]] = []
    if isinstance(tree, dict):
        inner = list(tree.items())
    elif isinstance(tree, list):
        inner = [(str(index), one) for index, one in enumerate(tree)]
    return [path, *(found for key, one in inner for found in paths(one, (*path, key)))]


def test_kinds_and_jobs_of_the_schema_are_those_of_the_table() -> None:
    defs = build_schema()["$defs"]
    assert defs["kind"]["enum"] == [*KINDS, *ALSO_CALLED]
    assert defs["device"]["properties"]["job"]["enum"] == [*JOBS, "none"]
    assert set(KINDS.values()) <= {"", *JOBS}
    assert set(ALSO_CALLED.values()) <= set(KINDS)


def test_kind_of() -> None:
    assert kind_of("Digital_Video") == kind_of("digital-video") == "digital video"
    assert kind_of("gps") == "gnss"


def test_read_build(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text("craft: otter\n", "utf-8")
    build = read_build(file)
    assert (build.tree, build.file) == ({"craft": "otter"}, str(file))
    with pytest.raises(Refusal, match="no such file"):
        read_build(tmp_path / "none.yaml")


def test_two_devices_of_one_name_are_told_apart() -> None:
    tree = normalise({"devices": [{"gnss": {"port": "UART3"}}, {"gnss": {"port": "UART6"}}]})
    devices = tree["devices"]
    assert isinstance(devices, list)
    assert [one["name"] for one in devices if isinstance(one, dict)] == ["gnss", "gnss 2"]
