"""Cells, plugs, wire and log bandwidth against published figures.

Sources: facts/battery_wire.yaml, row by row with its own source and whether it was read or is from
memory; facts/logging_bandwidth.csv (arithmetic; the flash chip's page times from memory).
"""

from __future__ import annotations

from typing import Any

import pytest

from cfgaudit.derive.battery import CHEMISTRIES
from cfgaudit.derive.log.section import log
from cfgaudit.derive.power.plugs import PLUGS, SILICONE_A_PER_MM2, section_mm2, wire_a
from tests.published.rows import FACTS, rows


def facts() -> Any:
    import yaml

    return yaml.safe_load((FACTS / "battery_wire.yaml").read_text("utf-8"))


def test_a_lipo_cell() -> None:
    cell, own = facts()["lipo_cell_v"], CHEMISTRIES["lipo"]
    assert own.full_v == cell["full"]["v"]
    assert own.usual_warn_v == cell["warn"]["v"]
    assert own.least_load_v == cell["minimum_under_load"]["v"]
    assert own.least_v == cell["absolute_minimum"]["v"]


@pytest.mark.parametrize("name", PLUGS)
def test_plugs(name: str) -> None:
    published, own = facts()["connectors"][name], PLUGS[name]
    assert (own.continuous_a, own.peak_a) == (published["continuous_a"], published["peak_a"])
    assert ("memory" in own.source) == (published["status"] == "memory")


@pytest.mark.parametrize(("awg", "row"), facts()["awg"].items())
def test_wire(awg: int, row: dict[str, float]) -> None:
    assert section_mm2(awg) == pytest.approx(row["calc_mm2"], abs=0.0006)
    assert wire_a(awg) == pytest.approx(row["silicone_25A_per_mm2"], abs=0.06)


def test_the_rule_of_thumb() -> None:
    assert facts()["silicone_rule"]["a_per_mm2"] == SILICONE_A_PER_MM2


@pytest.mark.parametrize("row", rows("logging_bandwidth"), ids=lambda row: row["sink"])
@pytest.mark.parametrize("khz", [8, 4, 2, 1])
def test_room_for_a_record(row: dict[str, str], khz: int) -> None:
    """Bytes a second ÷ records a second, as published to a tenth."""
    model, build = (
        {"logging": {"rate_hz": khz * 1000}},
        {"board": {"log": {"bytes_s": float(row["bytes_per_s"])}}},
    )
    figures = log(model, build)  # type: ignore[arg-type]  # JSON
    assert figures["budget_bytes"] == pytest.approx(float(row[f"budget_{khz}k"]), abs=0.051)


@pytest.mark.parametrize(("page_ms", "name"), [(0.7, "flash page typ 0.7 ms"), (3, "flash page max 3 ms")])
def test_bytes_a_second_of_a_flash_chip(page_ms: float, name: str) -> None:
    (row,) = [one for one in rows("logging_bandwidth") if one["sink"] == name]
    build = {"board": {"log": {"page_bytes": 256, "page_ms": page_ms}}}
    figures = log({}, build)  # type: ignore[arg-type]  # JSON
    assert figures["device_bytes_s"] == pytest.approx(float(row["bytes_per_s"]), abs=1)
