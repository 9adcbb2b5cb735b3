"""A dump after an update, held against the plan."""

from __future__ import annotations

import pytest

from cfgaudit.compare.carry.arrived import Arrival, Landed, arrival
from cfgaudit.compare.carry.carry import plan
from tests.audit.bench import sample
from tests.compare.carry.wren import NEW, OLD, changed, wren


def after(mine: str, *now: str) -> Arrival:
    made = plan(wren(OLD, "old.txt"), wren(changed(OLD, mine)), wren(NEW, "new.txt"))
    return arrival(made, wren(changed(NEW, *now), "after.txt"))


def only(arrived: Arrival) -> Landed:
    (one,) = arrived.landed
    return one


@pytest.mark.parametrize(
    ("mine", "now"),
    [
        ("idle := 60", "idle := 60"),
        ("volts.low := 330", "volts.low := 3300"),
        ("lean.most := 20", "tilt.most := 20"),
    ],
)
def test_what_arrived(mine: str, now: str) -> None:
    arrived = after(mine, now)
    assert only(arrived).there
    assert (arrived.missing, arrived.beside.changes) == ((), ())


@pytest.mark.parametrize(
    ("mine", "now", "why"),
    [
        ("idle := 60", "idle := 55", "still as the new firmware comes"),
        ("idle := 60", "idle := 70", "it has a third value"),
        ("lean.most := 20", "idle := 55", "its old name was not understood (now called tilt.most)"),
        ("volts.low := 330", "idle := 55", "perhaps refused (written 3300 instead of 330)"),
        ("tilt := -30", "idle := 55", "there is no such setting now"),
    ],
)
def test_what_did_not_arrive_says_why(mine: str, now: str, why: str) -> None:
    arrived = after(mine, now)
    assert not only(arrived).there
    assert only(arrived).why.endswith(why)


def test_a_text_that_was_typed_as_it_stood_is_told() -> None:
    made = plan(
        *(sample(f"heron/{name}") for name in ("factory-2.3.1.txt", "known-good.txt", "factory-3.0.txt"))
    )
    arrived = arrival(made, sample("heron/after-update.txt"))
    told = {one.carried.triple.named.label: one.why for one in arrived.missing}
    assert (
        told["pack / shunt-scale"] == "your old text 235 was typed as it stood, and means something else now"
    )
    assert set(told) == {
        "screen / used-alarm",
        "smoothing / spin-from",
        "pack / cell-low",
        "pack / shunt-scale",
        "position / fixes-needed",
        "start / lean-limit",
    }


def test_what_the_plan_does_not_explain_is_told_beside_it() -> None:
    arrived = after("idle := 60", "idle := 60", "gust := 31")
    assert [(one.subject, one.text) for one in arrived.beside.changes] == [("gust", "20 → 31")]


def test_what_is_doubtful_is_not_missing() -> None:
    assert after("gust := 45", "gust := 20").missing == ()


def test_what_the_builder_decided_as_offered_is_explained() -> None:
    made = plan(
        wren(OLD, "old.txt"), wren(changed(OLD, "stick-low := 35", "gust := 45")), wren(NEW, "new.txt")
    )
    offered = wren(changed(NEW, "stick-calm := 35", "blink := slow", "gust := 40"), "after.txt")
    arrived = arrival(made, offered)
    assert (arrived.missing, arrived.beside.changes) == ((), ())
    told = {one.carried.triple.named.label: one.why for one in arrived.landed}
    assert told["gust"] == "it has the nearest value that is allowed"


def test_a_mend_is_explained() -> None:
    made = plan(wren(OLD, "old.txt"), wren(OLD), wren(NEW, "new.txt"))
    later = wren(changed(NEW, "idle := 50"), "after.txt")
    assert arrival(made, later, [later]).beside.same
    assert not arrival(made, later).beside.same


def test_another_cell_of_a_line_that_was_carried_over_is_not_explained_with_it() -> None:
    arrived = after("wire w2 does 4 at 115200", "wire w2 does 4 at 9600")
    assert arrived.missing == ()
    assert [one.text for one in arrived.beside.changes] == ["rate 115200 → 9600 baud"]


def test_a_line_of_another_shape_in_another_firmware() -> None:
    old, mine = sample("heron/known-good.txt"), sample("heron/factory-2.3.1.txt")
    new = sample("otter/known-good.txt")  # its fifth output serves something, the old one turned a motor
    made = plan(old, mine, new)
    assert arrival(made, new).landed
