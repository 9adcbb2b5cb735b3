"""Chips, what is declared of them, what runs on them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.derive.mcu import library
from cfgaudit.derive.mcu.chip import Chip, Lane, lane, timer
from cfgaudit.derive.mcu.declared import chip_of
from cfgaudit.derive.mcu.library import chip
from cfgaudit.derive.mcu.section import mcu, uses_of
from cfgaudit.derive.mcu.solve import Clash
from cfgaudit.derive.mcu.table import table
from cfgaudit.derive.missing import Missing
from tests.house.checkout import ROOT


def model(**parts: Any) -> dict[str, Any]:
    outputs = {"1": {"motor": 1, "pin": "PB0"}, "2": {"use": "led-strip", "pin": "PA15"}}
    return {"motors": {"protocol": "dshot300"}, "outputs": outputs, **parts}


def build(**board: Any) -> dict[str, Any]:
    return {"board": board}


# Names


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("TIM3_CH1", Lane("TIM3", 1)), ("tim1_ch2n", Lane("TIM1", 2, True)), ("TIM3_UP", None),
        ("TIM3_CH5", None), ("", None), ("LPTIM1_CH1", None),
    ],
)  # fmt: skip
def test_channels_of_timers(written: str, found: Lane | None) -> None:
    assert lane(written) == found


@pytest.mark.parametrize(
    ("written", "found"),
    [(3, "TIM3"), ("TIM3", "TIM3"), ("t3", "TIM3"), ("TIM_08", "TIM8"), ("none", ""), (None, ""), (True, "")],
)
def test_timers(written: object, found: str) -> None:
    assert timer(written) == found


# The library


@pytest.mark.parametrize(
    ("name", "called", "whole"),
    [
        ("STM32F405RGT6", "STM32F405RGT6", True),
        ("stm32f405rgt6tr", "STM32F405RGT6", True),  # as it stands on the reel
        ("F405", "STM32F405", False),
        ("STM32F405RG", "STM32F405RG", True),
        ("STM32H745XGH6", "STM32H745XGH6", True),  # two cores
    ],
)
def test_names(name: str, called: str, whole: bool) -> None:
    made = chip(name)
    assert made
    assert (made.name, made.whole) == (called, whole)


@pytest.mark.parametrize(
    "name", ["", "F4", "RP2040", "AT32F435RMT7", "STM32F499", "F40x", "../../etc", "STM32"]
)
def test_names_of_nothing(name: str) -> None:
    assert chip(name) is None


def test_a_smaller_package_brings_out_fewer_pins() -> None:
    small, large = chip("STM32F405RGT6"), chip("STM32F405VGT6")
    assert small
    assert large
    assert (small.pins or {}).keys() < (large.pins or {}).keys()
    assert "PE9" not in (small.pins or {})


def test_every_file_of_the_library_is_read() -> None:
    spec = library.find_spec("modm_devices")
    assert spec
    assert spec.submodule_search_locations
    folder = Path(spec.submodule_search_locations[0]) / "resources" / "devices" / "stm32"
    from modm_devices.parser import DeviceParser

    silent = set()
    for file in sorted(folder.glob("*.xml")):
        part = DeviceParser().parse(str(file)).get_devices()[0].partname.partition("@")[0]
        made = library._read(part, folder)
        assert made, part
        assert any((made.pins or {}).values()), part
        assert made.ports, part
        if not made.channels:
            silent.add(part[5:7])
    assert silent <= {
        "h5",
        "n6",
        "u3",
        "u5",
        "wb",
        "wl",
        "h7",
    }


def test_what_is_kept_is_what_was_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = chip("STM32G474RET6")
    assert made
    assert library._recalled(json.loads(json.dumps(library._data(made)))) == made
    assert library._recalled({"name": "x"}) is None
    assert library._recalled({**library._data(made), "pins": {"PA0": [["?", 1]]}}) is None


SCRIPT = """
import sys, cfgaudit
build = cfgaudit.read_build(sys.argv[1])
reading = cfgaudit.read_dump("samples/otter/known-good.txt", build=build)
findings = cfgaudit.audit(reading, build)
print("modm_devices" in sys.modules, "lxml" in sys.modules)
"""


def test_chips_are_loaded_where_one_is_named_and_once(tmp_path: Path) -> None:
    sheet = (ROOT / "samples/otter/build.yaml").read_text("utf-8")
    bare = tmp_path / "bare.yaml"
    bare.write_text("".join(f"{one}\n" for one in sheet.splitlines() if "chip:" not in one), "utf-8")
    told = []
    for file in (bare, ROOT / "samples/otter/build.yaml", ROOT / "samples/otter/build.yaml"):
        command = [sys.executable, "-c", SCRIPT, str(file)]
        home = {**os.environ, "XDG_CACHE_HOME": str(tmp_path)}
        told.append(
            subprocess.run(command, cwd=ROOT, env=home, capture_output=True, text=True, check=True).stdout
        )
    assert told == ["False False\n", "True True\n", "False False\n"]


# What the sheet declares


def test_a_board_may_declare_what_the_library_lacks() -> None:
    declared = build(chip="XYZ1000", pins={"PB0": ["TIM3_CH3"]}, dma={"requests": {"TIM3_CH3": ["1/7"]}})
    made = chip_of(declared)
    assert isinstance(made, Chip)
    assert made.pins == {"PB0": (Lane("TIM3", 3),)}
    assert made.channels == {"TIM3_CH3": ("1/7",)}
    assert made.source == "the build sheet"


def test_what_is_declared_stands_in_place_of_the_librarys() -> None:
    made = chip_of(build(chip="STM32F405RGT6", pins={"PB0": ["TIM9_CH1"]}))
    assert isinstance(made, Chip)
    assert (made.pins or {})["PB0"] == (Lane("TIM9", 1),)
    assert (made.pins or {})["PB1"]
    assert made.source.endswith(", and the build sheet")


@pytest.mark.parametrize(
    ("sheet", "needs"),
    [
        ({}, ("build.board.chip",)),
        (build(chip="XYZ1000"), ("build.board.chip",)),
    ],
)
def test_without_a_chip_nothing_is_said(sheet: dict[str, Any], needs: tuple[str, ...]) -> None:
    found = uses_of(model(), sheet)
    assert isinstance(found, Missing)
    assert found.needs == needs
    assert mcu(model(), sheet)["dma"] == found


def test_newer_controllers_are_not_guessed_at() -> None:
    section = mcu(model(), build(chip="STM32U575VIT6"))
    assert section["dma"] == Missing(("build.board.dma.requests",))
    assert isinstance(section["timers"], dict)


def test_a_dump_without_outputs_or_protocol() -> None:
    sheet = build(chip="STM32F405RGT6")
    assert uses_of({}, sheet) == Missing(("model.outputs",))
    assert uses_of(model(motors={}), sheet) == Missing(("model.motors.protocol",))
    lamps = {"outputs": {"2": {"use": "led-strip", "pin": "PA15"}}}
    assert not isinstance(uses_of(lamps, sheet), Missing)


# What runs


def names(sheet: dict[str, Any], told: dict[str, Any] | None = None) -> list[str]:
    uses = uses_of(told or model(), sheet)
    assert not isinstance(uses, Missing)
    return [one.name for one in uses.traffic]


def test_ports_run_in_the_directions_that_are_soldered() -> None:
    board = build(chip="STM32F405RGT6")
    one = {"port": "UART4", "wires": {"R4": "TX", "5V": "supply"}}
    assert names({**board, "devices": [one]}) == ["UART4 receiving"]
    assert names({**board, "devices": [{"port": "UART4"}]}) == ["UART4 receiving", "UART4 sending"]
    assert names({**board, "devices": [{"port": "USB"}, {"kind": "led strip"}]}) == []


def test_the_sheet_says_which_ports_go_by_dma_and_what_else() -> None:
    devices = {"devices": [{"port": "UART1"}, {"port": "UART4"}]}
    dma = {"ports": ["UART1"], "also": ["SPI1_RX"]}
    assert names({**build(chip="STM32F405RGT6", dma=dma), **devices}) == [
        "UART1 receiving",
        "UART1 sending",
        "SPI1_RX",
    ]
    assert names({**build(chip="STM32F405RGT6", dma={"ports": []}), **devices}) == []


def test_the_log_runs_on_its_bus_unless_it_is_off() -> None:
    sheet = build(chip="STM32F405RGT6", log={"bus": "SPI2"})
    assert names(sheet) == ["the log reading SPI2", "the log writing SPI2"]
    assert names(sheet, model(logging={"device": "none"})) == []
    assert names(build(chip="STM32F405RGT6", log={"bus": "SDIO"})) == ["the log on SDIO"]
    assert names(build(chip="STM32H743VIT6", log={"bus": "SDMMC1"})) == []  # has a DMA of its own


def test_of_two_outputs_on_one_pin_the_first_counts() -> None:
    outputs = {"1": {"motor": 1, "pin": "PB0"}, "2": {"motor": 2, "pin": "B00"}}
    uses = uses_of(model(outputs=outputs), build(chip="STM32F405RGT6"))
    assert not isinstance(uses, Missing)
    assert [one.id for one in uses.outputs] == ["1"]


def test_more_outputs_than_any_chip_has_are_not_tried() -> None:
    ports = "ABCDEFGH"
    outputs = {str(n): {"motor": n, "pin": f"P{ports[n // 16]}{n % 16}"} for n in range(1, 120)}
    section = mcu(model(outputs=outputs), build(chip="STM32F405VGT6"))
    assert section["timers"] == Missing(("model.outputs",), "119 outputs are more than a chip has")


def test_the_table_tells_what_clashes() -> None:
    told = model(
        outputs={"1": {"motor": 1, "pin": "PB1"}}, pin_setup={"PB1": {"timer": "TIM3", "channel": 4}}
    )
    sheet = {**build(chip="STM32F405RGT6"), "devices": [{"port": "UART4"}]}
    uses = uses_of(told, sheet)
    assert not isinstance(uses, Missing)
    assert uses.dma == Clash(("motor 1 on PB1", "UART4 receiving"), least=True)
    last = table(told, sheet).rows[-1]
    assert (last.what, last.value) == ("DMA", "no way")
    assert last.sum == "the fewest that cannot run at once: motor 1 on PB1, UART4 receiving, for 1/2"
