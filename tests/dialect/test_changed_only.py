"""Dumps of changes only: what they leave out is as it came from the factory, where the dialect says how."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.cell import UNDECLARED
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.factory import factory_entries
from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf, Unknown
from cfgaudit.model.path import parse
from cfgaudit.model.place import Default, Place
from tests.dialect.small import KNOT, TEAL, compiled, leaves, read, typed

TEAL_DIALECT, KNOT_DIALECT = compiled(TEAL), compiled(KNOT)
SHIPPED = {one.name: one for one in shipped_dialects()}


def teal(*rows: str, extent: str = "some") -> Reading:
    return read(TEAL_DIALECT, f"~ teal 1.0 on Reed, {extent}", *rows)


def knot(*rows: str) -> Reading:
    return read(KNOT_DIALECT, "; little is told", *rows)


def shipped(*rows: str) -> Reading:
    source = Text("dump.txt", "".join(f"{row}\n" for row in rows), "utf-8", mark=False)
    return read_dump(source, recognise(source, tuple(SHIPPED.values())))


def test_what_is_not_said_is_by_default() -> None:
    reading = teal("put screen := serial")
    assert reading.extent is Extent.CHANGED
    at = reading.model.at
    assert at(parse("osd.drive")) == Leaf("displayport", Place("dump.txt", 2, 15))
    assert at(parse("battery.cell_warn_v")) == Leaf(3.5, Default("teal"))
    assert at(parse("battery.cell_full_v")) == Leaf(4.2, Default("teal"))
    assert at(parse("arming.checks")) == Leaf(True, Default("teal"))
    assert at(parse("ports.UART1.functions")) == Leaf(("receiver",), Default("teal"))
    assert at(parse("ports.UART2.rate_baud")) == Leaf(9600, Default("teal"))
    assert at(parse("outputs.1.pin")) == Leaf("none", Default("teal"))


def test_what_nobody_declares_stays_unknown() -> None:
    reading = teal()
    assert reading.model.at(parse("ports.USB.functions")) == Unknown(parse("ports.USB.functions"))
    assert reading.model.at(parse("receiver.bind")) == Unknown(parse("receiver.bind"))
    assert reading.model.at(parse("profiles.1.grip")) == Unknown(parse("profiles.1.grip"))


@pytest.mark.parametrize("extent", ["all", "who knows"])
def test_only_a_dump_of_changes_is_filled_in(extent: str) -> None:
    assert leaves(teal(extent=extent)) == {}


def test_a_row_of_the_dump_takes_the_place_of_its_factory_line() -> None:
    reading = teal("line l1 jobs 0x20 pace 57600", "leg 1 serves lamp on B6")
    assert leaves(reading, "ports.UART1") == {
        "ports.UART1.functions": ("telemetry",),
        "ports.UART1.rate_baud": 57600,
    }
    # another shape of the same row, too
    assert leaves(reading, "outputs.1") == {"outputs.1.use": "led-strip", "outputs.1.pin": "PB6"}
    assert not reading.repeats


def test_each_scope_that_the_dump_opens_is_filled_in() -> None:
    reading = teal("tune 1", "put grip := 7", "tune 2", "put word := x")
    assert leaves(reading, "profiles") == {"profiles.1.grip": 7, "profiles.2.grip": 40, "profiles.active": 2}
    assert {name: leaf.value for name, leaf in reading.model.settings.items() if name.startswith("tune")} == {
        "tune 1 / word": "plain",
        "tune 2 / word": "x",
        "tune 1 / bend roll": "0 50 100",
        "tune 2 / bend roll": "0 50 100",
    }


def test_each_section_is_filled_in() -> None:
    reading = knot("[link A]", "carries = desk", "[link B]", "rate.gnss = 9600", "[range 3]")
    assert leaves(reading, "ports") == {
        "ports.USB.functions": ("console-link",),
        "ports.USB.inverted": False,
        "ports.USB.rates_baud.console-link": 115200,
        "ports.USB.rates_baud.gnss": 38400,
        "ports.UART1.functions": (),
        "ports.UART1.inverted": False,
        "ports.UART1.rates_baud.console-link": 115200,
        "ports.UART1.rates_baud.gnss": 9600,
    }
    assert leaves(reading, "modes") == {}
    assert leaves(reading, "osd") == {"osd.drive": "chip"}  # a section that stands for one thing
    assert leaves(reading, "profiles") == {"profiles.active": 1}
    assert leaves(reading, "identity") == {"identity.craft_name": "nameless"}


def test_settings_outside_the_vocabulary_are_filled_in() -> None:
    reading = teal("put seed := 0x20")
    assert {name: leaf.value for name, leaf in reading.model.settings.items()} == {
        "seed": "0x20",
        "talks": "a",
        "budget": "40",
    }
    assert reading.model.settings["budget"].origin == Default("teal")


def test_defaults_that_moved_go_by_the_version() -> None:
    def told(version: str) -> set[str]:
        reading = read(TEAL_DIALECT, f"~ teal {version} on Reed, some")
        return {name for name in reading.model.settings if name in ("budget", "share")}

    assert told("1.2.9") == {"budget"}
    assert told("1.3") == {"share"}


def test_a_factory_line_is_no_private_value() -> None:
    made = compiled(TEAL.replace("private: true,", 'private: true, default: "0000",'))
    assert read(made, "~ teal 1.0 on Reed, some").private == ()


def test_what_is_typed_counts_before_the_factory_lines() -> None:
    reading = pasted(teal(), typed("put volts.warn := 333", "leg 1 serves arm on B6"))
    assert leaves(reading, "battery.cell_warn_v") == {"battery.cell_warn_v": 3.33}
    assert leaves(reading, "outputs.1") == {"outputs.1.use": "servo", "outputs.1.pin": "PB6"}


# The shipped dialects


@pytest.mark.parametrize("name", SHIPPED)
def test_every_default_and_factory_line_is_understood(name: str) -> None:
    dialect = SHIPPED[name]
    for scope in dialect.scopes:
        head = scope.opens.text if scope.opens else ""
        made = list(factory_entries(dialect, scope, {}, head))
        rows = sum(len(form.factory) for form in scope.forms)
        defaults = sum(form.cells["value"].default is not UNDECLARED for form in scope.settings.values())
        assert len(made) == rows + defaults
        for entry in made:
            for cell, text in entry.texts.items():
                value = entry.form.cells[cell].codec.read(text)
                assert not entry.form.cells[cell].outside(value), entry.label
                assert entry.form.cells[cell].codec.write(value) == text, entry.label


@pytest.mark.parametrize("name", SHIPPED)
def test_every_default_reads_back(name: str) -> None:
    dialect = SHIPPED[name]
    for scope in dialect.scopes:
        made = {
            entry.form.name: entry for entry in factory_entries(dialect, scope, {}, "") if entry.form.name
        }
        for setting, form in scope.settings.items():
            default = form.cells["value"].default
            assert (setting in made) is (default is not UNDECLARED)
            if setting in made:
                assert form.cells["value"].codec.read(made[setting].texts["value"]) == default, setting


def test_an_untouched_plover() -> None:
    reading = shipped("~ plover 4.1.2 / Reed-405 / STM32F405RGT6 / changes")
    assert not reading.doubts
    assert leaves(reading, "ports.UART1") == {
        "ports.UART1.functions": ("receiver",),
        "ports.UART1.rate_baud": 100000,
        "ports.UART1.inverted": False,
        "ports.UART1.duplex": "full",
    }
    assert leaves(reading, "motors.count") == {"motors.count": 4}
    assert leaves(reading, "modes") == {}
    assert len(leaves(reading, "osd.elements")) == 4 * 28
    assert all(
        isinstance(leaf.origin, Default)
        for path, leaf in reading.model.leaves.items()
        if path[0] != "firmware"
    )


def test_a_changed_dunlin() -> None:
    reading = shipped(
        "; dunlin 2.4.0 on Sedge-743 with STM32H743VIT6",
        "; built 2026-02-17, telling differences",
        "[link B]",
        "carries = sticks",
        "[motors]",
        "signal = DShot-600",
        "[range 2]",
        "acts = arm 0 1700 2100",
    )
    assert not reading.doubts
    assert not reading.unknown
    assert leaves(reading, "ports.UART1.rates_baud.receiver") == {"ports.UART1.rates_baud.receiver": 420000}
    assert leaves(reading, "motors.protocol") == {"motors.protocol": "dshot600"}
    assert leaves(reading, "motors.poles") == {"motors.poles": 14}
    assert leaves(reading, "mixer.4") == {
        "mixer.4.roll": -1.0, "mixer.4.pitch": -1.0, "mixer.4.yaw": -1.0, "mixer.4.throttle": 1.0,
    }  # fmt: skip
    # 2.4 calls a setting otherwise than 2.3 did
    names = {name for name in reading.model.settings if name.startswith("smoothing / lean")}
    assert names == {"smoothing / lean-quiet"}


def test_an_untouched_avocet() -> None:
    header = ("# avocet 1.4.2, Mallow-474, STM32G474RET6", "# put together 2026-09-07, listing the-altered")
    reading = shipped(*header)
    assert not reading.doubts
    assert leaves(reading, "ports.PORT1") == {
        "ports.PORT1.functions": ("receiver",),
        "ports.PORT1.rate_baud": 100000,
        "ports.PORT1.inverted": True,
        "ports.PORT1.duplex": "full",
    }
    assert leaves(reading, "ports.PORT0.functions") == {"ports.PORT0.functions": ("console-link",)}
    assert leaves(reading, "osd.elements.craft_name") == {
        "osd.elements.craft_name.row": 14,
        "osd.elements.craft_name.column": 9,
        "osd.elements.craft_name.shown": False,
        "osd.elements.craft_name.width": 12,
    }
    assert leaves(reading, "outputs.1") == {"outputs.1.pin": "none", "outputs.1.motor": 1}
    assert leaves(reading, "motors.poles") == {"motors.poles": 14}
    assert leaves(reading, "motors.bidirectional") == {"motors.bidirectional": False}
    assert leaves(reading, "video.channel") == {"video.channel": 1}
    assert leaves(reading, "modes") == {}
    assert reading.model.settings["DIARY_SEED"].value == "0xABC"
    # 1.4 has the edge of the letters where earlier ones had a shade
    assert {name for name in reading.model.settings if name in ("TEXT_SHADE", "TEXT_EDGE")} == {"TEXT_EDGE"}


@pytest.mark.parametrize(
    ("version", "lean", "lasts", "warn"),
    [("1.3.9", 25, 8.0, 3.5), ("1.4", 20, 12.0, 3.5), ("1.4.2", 20, 12.0, 3.5), ("1.5.0", 20, 12.0, 3.6)],
)
def test_avocet_s_defaults_moved(version: str, lean: int, lasts: float, warn: float) -> None:
    header = (
        f"# avocet {version}, Mallow-474, STM32G474RET6",
        "# put together 2026-09-07, listing the-altered",
    )
    told = leaves(shipped(*header))
    paths = ("arming.angle_limit_deg", "failsafe.duration_s", "battery.cell_warn_v")
    assert [told[path] for path in paths] == [lean, lasts, warn]
