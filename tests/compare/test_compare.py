"""What counts as a change, how much it weighs, and where it points."""

from __future__ import annotations

import pytest

from cfgaudit.compare.change import Weight
from cfgaudit.compare.compare import compare
from cfgaudit.compare.weights import weight_of
from cfgaudit.model.path import parse
from cfgaudit.model.place import Default, Place
from cfgaudit.model.value import Value
from tests.compare.sides import changes, side


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"motors.poles": 14}, {"motors.poles": 14.0}),
        ({"ports.UART1.functions": ("gnss", "msp")}, {"ports.UART1.functions": ("msp", "gnss")}),
        ({"ports.UART1.functions": ("gnss", "gnss")}, {"ports.UART1.functions": ("gnss",)}),
        ({"battery.current_scale": float("nan")}, {"battery.current_scale": float("nan")}),
    ],
)
def test_the_same_in_another_writing_is_no_change(one: dict[str, Value], other: dict[str, Value]) -> None:
    assert compare(side(one), side(other)).same


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"motors.poles": 1}, {"motors.poles": True}),
        ({"motors.poles": 0}, {"motors.poles": False}),
        ({"motors.poles": 14}, {"motors.poles": "14"}),
        ({"servos.travel": (1, 2)}, {"servos.travel": (2, 1)}),
        ({"servos.travel": (1, 2)}, {"servos.travel": (1, 2, 2)}),
        ({"servos.travel": (1,)}, {"servos.travel": 1}),
        ({"kiln.__heat": 1}, {"kiln.__heat": 2}),
        ({"kiln.heat": 1}, {"kiln.heat.of.day": 1}),
    ],
)
def test_another_value_or_kind_is_a_change(one: dict[str, Value], other: dict[str, Value]) -> None:
    assert not compare(side(one), side(other)).same


def test_a_default_and_an_equal_written_value_are_the_same() -> None:
    leaves: dict[str, Value] = {"battery.cell_warn_v": 3.5, "osd.drive": "chip"}
    written = side(leaves, {"sys.budget": "40"})
    assert compare(side(leaves, {"sys.budget": "40"}, origin=Default("plover")), written).same


def test_weightiest_first_and_motors_in_the_order_of_counting() -> None:
    pins: dict[str, Value] = {f"outputs.{n}.motor": n for n in (10, 2)}
    a = side(
        {**pins, "outputs.10.pin": "PA1", "outputs.2.pin": "PA2", "loop.gyro_hz": 1, "gnss.protocol": "ubx"}
    )
    b = side(
        {**pins, "outputs.10.pin": "PB1", "outputs.2.pin": "PB2", "loop.gyro_hz": 2, "gnss.protocol": "nmea"}
    )
    assert [(one.weight, one.subject) for one in changes(a, b)] == [
        (Weight.HURT, "motor 2"),
        (Weight.HURT, "motor 10"),
        (Weight.WIRING, "gnss"),
        (Weight.FLIGHT, "loop"),
    ]


@pytest.mark.parametrize(
    ("path", "weight"),
    [
        ("motors.protocol", Weight.HURT),
        ("modes.arm.0.channel", Weight.HURT),
        ("modes.beeper.0.channel", Weight.FLIGHT),
        ("receiver.channel_order", Weight.HURT),
        ("receiver.link", Weight.WIRING),
        ("sensors.alignment.yaw_deg", Weight.HURT),
        ("sensors.barometer", Weight.FLIGHT),
        ("battery.cell_warn_v", Weight.FLIGHT),
        ("osd.drive", Weight.WIRING),
        ("osd.elements.speed.row", Weight.REST),
        ("logging.rate_hz", Weight.REST),
        ("kiln.heat", Weight.REST),
    ],
)
def test_weight(path: str, weight: Weight) -> None:
    assert weight_of(parse(path)) is weight


def test_a_change_points_at_each_line_once_and_says_when_it_takes_effect() -> None:
    row = Place("a.txt", 7, 3)
    a = side({"modes.arm.0.channel": 5, "modes.arm.0.from_us": 1700, "modes.arm.0.to_us": 2100}, origin=row)
    b = side(
        {"modes.arm.0.channel": 6, "modes.arm.0.from_us": 1300, "modes.arm.0.to_us": 2100},
        file="b.txt",
        waits={"modes.arm.0.channel": "restart", "modes.arm.0.from_us": "power cycle"},
    )
    (one,) = changes(a, b)
    assert one.before == (row,)
    assert one.after == (Place("b.txt", 1), Place("b.txt", 2))
    assert one.paths == (("modes", "arm", "0", "channel"), ("modes", "arm", "0", "from_us"))
    assert one.effect == "after a power cycle"


def test_settings_outside_the_vocabulary_by_name() -> None:
    a = side({}, {"sys.budget": "40", "lamp.2": "on", "lamp.10": "on"})
    b = side({}, {"lamp.10": "off", "lamp.2": "off", "drum": "1"}, file="b.txt")
    found = changes(a, b)
    assert [(one.subject, one.text) for one in found] == [
        ("drum", "not said → 1"),
        ("lamp.2", "on → off"),
        ("lamp.10", "on → off"),
        ("sys.budget", "40 → not said"),
    ]
    assert {one.weight for one in found} == {Weight.REST}
    assert found[0].before == ()
    assert found[0].after == (Place("b.txt", 3),)


def test_unknown_lines_are_held_together_as_texts() -> None:
    a = side({}, unknown=["beep 3 1010", "hum", "hum", "hum"])
    b = side({}, unknown=["hum", "beep  3   1010", "warble 1"], file="b.txt")
    assert [(one.subject, one.text) for one in changes(a, b)] == [
        ("unknown line", "gone 2 times: hum"),
        ("unknown line", "new: warble 1"),
    ]
    assert changes(a, b)[0].before == (Place("a.txt", 902), Place("a.txt", 903))


def test_names_of_two_firmwares_are_not_held_together() -> None:
    a = side({"osd.drive": "chip"}, {"speed": "1"}, ["hum"])
    b = side({"osd.drive": "off"}, {"speed": "1"}, dialect="dunlin")
    assert [(one.subject, one.text) for one in changes(a, b)] == [
        ("OSD", "drive chip → off"),
        ("other settings", "not comparable: 2 of plover before, 1 of dunlin after"),
    ]


def test_private_values_are_not_shown() -> None:
    a = side({"receiver.bind": "heath"}, {"owner": "ida"}, private=["owner"])
    b = side({"receiver.bind": "moor", "identity.pilot_name": "jan"}, {"owner": "jan"}, private=["owner"])
    assert [f"{one.subject}: {one.text}" for one in changes(a, b)] == [
        "receiver: bind changed (private, not shown)",
        "owner: changed (private, not shown)",
        "pilot name: not said → (private, not shown)",
    ]


def test_a_private_line_hides_the_leaf_that_it_gives() -> None:
    a = side({"identity.craft_name": "otter"}, private=["identity.craft_name"])
    (one,) = changes(a, side({"identity.craft_name": "vole"}))
    assert one.text == "changed (private, not shown)"


def test_how_many_settings_were_held_together() -> None:
    found = compare(side({"osd.drive": "chip"}, {"x": "1"}, ["hum"]), side({"osd.drive": "chip"}))
    assert (found.settings_a, found.settings_b) == (3, 1)
