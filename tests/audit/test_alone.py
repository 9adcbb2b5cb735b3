"""Rules against a sheet alone: what they find, an audit of any dump finds as well."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from cfgaudit.audit.alone import audit_alone, needs_no_model
from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Audit
from cfgaudit.model.value import Json
from tests.audit.bench import sample, sheet, sheet_of

RULES = shipped_rules()
CRAFTS = ("otter", "heron", "vole")
DUMPS = ("otter/known-good.txt", "otter/after.txt", "heron/known-good.txt", "vole/known-good.txt")


def of(build: Mapping[str, Json]) -> Audit:
    return audit_alone(sheet_of(build), RULES)


def found(build: Mapping[str, Json]) -> dict[str, str]:
    return {one.rule: one.text for one in of(build).findings}


@pytest.mark.parametrize("craft", [*CRAFTS, "teach"])
def test_a_good_sheet_has_no_findings(craft: str) -> None:
    seen = audit_alone(sheet(craft), RULES)
    assert seen.findings == ()
    assert {"power/rail-overloaded", "serial/devices-that-cannot-share", "serial/device-without-port"} <= {
        *seen.holding
    }


@pytest.mark.parametrize("craft", CRAFTS)
@pytest.mark.parametrize("dump", DUMPS)
def test_an_audit_of_any_dump_says_the_same(craft: str, dump: str) -> None:
    """Of a sheet with faults of its own, read beside any dump."""
    spoilt = sheet_of(SPOILT[craft])
    alone, whole = audit_alone(spoilt, RULES), audit(sample(dump), spoilt, RULES)
    assert alone.findings
    every = {(one.rule, one.text) for root in whole.findings for one in (root, *root.follows)}
    assert {(one.rule, one.text) for root in alone.findings for one in (root, *root.follows)} <= every
    assert {*alone.holding} <= {*whole.holding}


SPOILT: dict[str, dict[str, Json]] = {
    "otter": {
        "devices": [
            {"receiver": {"port": "UART1"}},
            {"gnss": {"port": "UART1", "draws_a": 3, "wires": {"5V": "supply", "GND": "ground"}}},
        ],
        "board": {"rails": {"5V": {"volts": 5, "amps": 2}}},
    },
    "heron": {"devices": ["receiver", {"gnss": {}}], "battery": {"cells": 8}, "esc": {"cells": [3, 6]}},
    "vole": {
        "video_link": {"band_plan": "F", "air_channel": 1, "ground_channel": 2},
        "motors": {"peak_a": 60},
        "esc": {"amps": 20},
    },
}


def test_two_that_cannot_share_a_port() -> None:
    said = found(SPOILT["otter"])
    assert said.keys() == {"serial/devices-that-cannot-share", "power/rail-overloaded"}
    assert "3 A" in said["power/rail-overloaded"]


def test_places_are_the_sheet_s() -> None:
    for one in of(SPOILT["otter"]).findings:
        assert one.declared
        assert not one.found
        assert not one.mend.lines


def test_no_rule_that_a_dump_has_a_say_in_answers() -> None:
    for craft in CRAFTS:
        seen = audit_alone(sheet(craft), RULES)
        answering = {*seen.holding, *(one.rule for one in seen.not_judged)}
        for rule in RULES:
            if not needs_no_model(rule):
                assert rule.id not in answering


@pytest.mark.parametrize(
    "rule", ["serial/rate-not-made", "serial/line-overfull", "osd/redraw-slow", "file/lines-unknown"]
)
def test_nothing_holds_for_want_of_a_dump(rule: str) -> None:
    """Rules that go through figures of the dump have nothing to go through: that is no answer."""
    seen = audit_alone(sheet("otter"), RULES)
    assert rule not in {*seen.holding, *(one.rule for one in seen.not_judged)}


def test_an_empty_sheet() -> None:
    seen = of({})
    assert (seen.findings, seen.holding) == ((), ())
