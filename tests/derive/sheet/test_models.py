"""Drafts of any model at all: they read back, and never speak against the dump that they are from."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.derive.jobs import beside, is_door
from cfgaudit.derive.sheet.draft import Draft, draft
from cfgaudit.derive.supposed import supposed, variants
from cfgaudit.derive.tree import told
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import build_from
from tests.audit.bench import sheet
from tests.derive.models import models
from tests.derive.sheet.drafted import of_model, opened, reading_with

RULES = shipped_rules()
# What compares a dump with its sheet value by value: where the one is from the other it cannot fail.
NEVER = {
    "arming/other-channel",
    "battery/cells-differ",
    "chip/dma-clash",
    "identity/craft-name",
    "identity/other-board",
    "identity/other-chip",
    "identity/other-firmware",
    "identity/version-outside-sheet",
    "mixer/motor-elsewhere",
    "mixer/turns-against",
    "motor/pin-differs",
    "motor/poles",
    "motor/protocol-not-spoken",
    "osd/canvas-not-drawn",
    "osd/standard-differs",
    "receiver/channel-order",
    "receiver/link-differs",
    "sensor/alignment",
    "sensor/board-alignment",
    "serial/job-nowhere",
    "serial/job-on-wrong-port",
    "serial/port-not-brought-out",
    "serial/rate-differs",
}
# To look further, with other models each time: DEEPER=20 pytest tests/derive/sheet
DEEPER = int(os.environ.get("DEEPER", "1"))
often = settings(
    max_examples=100 * DEEPER,
    derandomize=DEEPER == 1,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)


def test_the_rules_that_never_fail_are_rules() -> None:
    assert {rule.id for rule in RULES} >= NEVER


def draft_of(model: dict[str, Any]) -> Draft | None:
    """The draft of a model; None where it tells nothing, which is the only reason not to draft."""
    try:
        return draft(reading_with(model))
    except Refusal as refusal:
        if "tells nothing that a build sheet could say" in refusal.what:
            return None
        raise


@often
@given(model=models())
def test_it_reads_back_and_says_nothing_against_its_dump(model: dict[str, Any]) -> None:
    made = draft_of(model)
    if made is None:
        return
    assert build_from(read_yaml(made.text, "build.yaml")).tree == made.build.tree
    build_from(read_yaml(opened(made.text), "build.yaml"))
    found = audit(reading_with(model), made.build, RULES).findings
    every = {one.rule for root in found for one in (root, *root.follows)}
    assert not every & NEVER, every & NEVER


@often
@given(model=models())
def test_every_job_is_a_device_s_or_goes_along_with_one(model: dict[str, Any]) -> None:
    made = draft_of(model)
    if made is None:
        return
    listed = told(made.build.tree, "devices")
    drafted = [str(told(one, "job")) for one in (listed if isinstance(listed, list) else ())]
    for id, port in (model.get("ports") or {}).items():
        jobs = dict.fromkeys(port.get("functions", ()))
        for job in jobs:
            alone = not is_door(job, id) and not any(job in beside(other) for other in jobs if other != job)
            assert not alone or job in drafted, (id, job)


@pytest.mark.parametrize("craft", ["otter", "heron", "vole", "teach"])
def test_the_way_round(craft: str) -> None:
    """What a sheet asks of a dump, a draft of that dump says again."""
    build = sheet(craft).tree
    for variant in range(variants()):
        made = of_model(supposed(build, variant)).build.tree
        for number, place in told(build, "motors", "places").items():  # type: ignore[union-attr]
            again = told(made, "motors", "places", number)
            assert told(again, "spin") == told(place, "spin")
            pin = told(build, "board", "motor_pads", str(told(place, "pad")))
            assert told(made, "board", "motor_pads", str(told(again, "pad"))) == pin
        wanted = {(told(one, "port"), told(one, "job")) for one in told(build, "devices")}  # type: ignore[union-attr]
        drafted = {(told(one, "port"), told(one, "job")) for one in told(made, "devices")}  # type: ignore[union-attr]
        assert {one for one in wanted if None not in one} <= drafted
