"""Drafts of the samples: they read back, say what the dump says, and find no error of their own in it."""

from __future__ import annotations

import pathlib
import re

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.derive.sheet.craft import craft
from cfgaudit.derive.sheet.draft import Draft, draft
from cfgaudit.derive.sheet.entry import Entry
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import told
from cfgaudit.derive.wiring import rate_of
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import build_from
from cfgaudit.model.value import Json
from tests.audit.bench import sheet
from tests.derive.sheet.drafted import of_sample, opened, plain
from tests.dialect.draft.test_walk import read as read_taught
from tests.report.snapshot import assert_as_kept

RULES = shipped_rules()
SNAPSHOTS = pathlib.Path(__file__).parent / "snapshots"
DUMPS = (
    "otter/known-good.txt",
    "otter/before.txt",
    "otter/after.txt",
    "heron/known-good.txt",
    "vole/known-good.txt",
    "vole/changed-only.txt",
)
GOOD = ("otter/known-good.txt", "heron/known-good.txt", "vole/known-good.txt")
# What a dump says against itself, whatever the sheet.
ITS_OWN = {
    "otter/after.txt": {
        "osd/displayport-not-used",
        "serial/cannot-invert",
        "serial/inversion-differs",
        "serial/jobs-that-cannot-share",
    }
}


@pytest.mark.parametrize("name", ["otter/after.txt", "heron/known-good.txt", "vole/known-good.txt"])
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(f"{name.replace('/', '-').removesuffix('.txt')}.yaml", of_sample(name).text, SNAPSHOTS)


@pytest.mark.parametrize("name", DUMPS)
def test_it_reads_back(name: str) -> None:
    made = of_sample(name)
    assert build_from(read_yaml(made.text, "build.yaml")).tree == made.build.tree


@pytest.mark.parametrize("name", DUMPS)
def test_an_audit_of_the_dump_finds_no_error_of_the_draft_s(name: str) -> None:
    found = audit(plain(name), of_sample(name).build, RULES).findings
    every = {one.rule for root in found for one in (root, *root.follows) if one.level == "error"}
    assert every == ITS_OWN.get(name, set())


@pytest.mark.parametrize("name", ["otter/known-good.txt", "otter/before.txt", "heron/known-good.txt"])
def test_an_audit_of_a_good_dump_finds_nothing_at_all(name: str) -> None:
    assert audit(plain(name), of_sample(name).build, RULES).findings == ()


@pytest.mark.parametrize("name", ["known-good.txt", "faulty.txt"])
def test_of_a_firmware_that_was_taught(name: str) -> None:
    """moorhen's chip has no DMA channels for all its ports: the draft says so instead of clashing."""
    reading = read_taught(name)
    made = draft(reading)
    assert told(made.build.tree, "board", "dma", "ports") == []
    errors = {one.rule for one in audit(reading, made.build, RULES).findings if one.level == "error"}
    assert errors == ({"osd/displayport-not-used"} if name == "faulty.txt" else set())


# What the dump tells is there


def ports_of(reading: Reading) -> dict[str, dict[str, Json]]:
    ports = told(reading.model.tree, "ports")
    assert isinstance(ports, dict)
    return {id: port for id, port in ports.items() if isinstance(port, dict)}


def devices_of(made: Draft) -> list[dict[str, Json]]:
    listed = told(made.build.tree, "devices")
    assert isinstance(listed, list)
    return [one for one in listed if isinstance(one, dict)]


@pytest.mark.parametrize("name", ["otter/known-good.txt", "otter/before.txt", "heron/known-good.txt"])
def test_every_job_has_its_device_with_the_rate_of_its_line(name: str) -> None:
    reading, made = plain(name), of_sample(name)
    wanted = {
        (id, job): rate_of(port, job)[1]
        for id, port in ports_of(reading).items()
        for job in port["functions"]  # type: ignore[union-attr]
        if job != "console-link"
    }
    assert {
        (one["port"], one["job"]): one["rate_baud"] for one in devices_of(made) if "port" in one
    } == wanted


@pytest.mark.parametrize("name", ["vole/known-good.txt", "vole/changed-only.txt"])
def test_of_ports_by_the_firmware_s_number_the_jobs_are_there(name: str) -> None:
    reading, made = plain(name), of_sample(name)
    jobs = [job for port in ports_of(reading).values() for job in port["functions"]]  # type: ignore[union-attr]
    drafted = [one["job"] for one in devices_of(made) if "job" in one and "port" not in one]
    assert sorted(map(str, drafted)) == sorted(str(job) for job in jobs if job != "console-link")
    assert "ports" not in made.build.tree["board"]  # type: ignore[operator]
    assert "#UART3: {number: 3" in made.text


@pytest.mark.parametrize("name", DUMPS)
def test_every_motor_has_its_pin(name: str) -> None:
    reading, made = plain(name), of_sample(name)
    outputs = told(reading.model.tree, "outputs")
    assert isinstance(outputs, dict)
    wanted = {str(told(one, "motor")): told(one, "pin") for one in outputs.values() if told(one, "motor")}
    pads, places = told(made.build.tree, "board", "motor_pads"), told(made.build.tree, "motors", "places")
    assert isinstance(places, dict)
    assert {number: told(pads, str(told(one, "pad"))) for number, one in places.items()} == wanted


@pytest.mark.parametrize("name", ["otter/known-good.txt", "heron/known-good.txt"])
def test_pins_of_ports_are_those_of_the_dump(name: str) -> None:
    pins = told(plain(name).model.tree, "pins")
    assert isinstance(pins, dict)
    wanted = {use: pin for use, pin in pins.items() if re.fullmatch("uart[0-9]_(tx|rx)", use)}
    ports = told(of_sample(name).build.tree, "board", "ports")
    assert isinstance(ports, dict)
    drafted = {
        f"{id.lower()}_{side}": pin
        for id, port in ports.items()
        for side, pin in (port.items() if isinstance(port, dict) else ())
    }
    assert drafted == wanted


# What a person wrote at the bench, of the same craft


def _same(drafted: Json, real: Json, *path: str) -> None:
    assert told(drafted, *path) == told(real, *path), path


@pytest.mark.parametrize("name", GOOD)
def test_a_good_dump_s_draft_is_what_the_builder_wrote(name: str) -> None:
    made, real = of_sample(name).build.tree, sheet(name.partition("/")[0]).tree
    for path in (
        ("craft",),
        ("board", "name"),
        ("board", "chip"),
        ("board", "firmware", "name"),
        ("esc", "bidirectional"),
        ("motors", "layout"),
        ("motors", "magnets"),
        ("motors", "reversible"),
        ("battery", "cells"),
        ("radio", "channel_order"),
        *(("radio", "arm", key) for key in ("channel", "from_us", "to_us")),
        *(("video_link", key) for key in ("kind", "air_channel", "power_mw")),
    ):
        _same(made, real, *path)
    places = told(real, "motors", "places")
    assert isinstance(places, dict)
    for number in places:
        _same(made, real, "motors", "places", number, "at")
        _same(made, real, "motors", "places", number, "spin")
    assert told(made, "esc", "protocols") != []
    assert {*told(made, "esc", "protocols")} <= {*told(real, "esc", "protocols")}  # type: ignore[misc]


@pytest.mark.parametrize("name", ["otter/known-good.txt", "heron/known-good.txt"])
def test_its_devices_are_those_that_the_builder_wrote(name: str) -> None:
    real = {one["job"]: one for one in _devices(sheet(name.partition("/")[0]).tree) if "job" in one}
    made = {one["job"]: one for one in devices_of(of_sample(name)) if "job" in one}
    assert made.keys() == real.keys()
    for job, one in made.items():
        for key in ("kind", "port", "rate_baud", "update_hz"):
            assert key not in one or one[key] == real[job].get(key), (job, key)
        if "speaks" in one:
            assert one["speaks"] == real[job]["speaks"]
        if "canvas" in one:
            assert one["canvas"][0] in real[job]["canvas"]  # type: ignore[index,operator]


def _devices(tree: dict[str, Json]) -> list[dict[str, Json]]:
    listed = tree["devices"]
    assert isinstance(listed, list)
    return [one for one in listed if isinstance(one, dict)]


def test_the_mast_compass_is_turned_as_the_dump_has_it() -> None:
    (compass,) = (
        one for one in devices_of(of_sample("heron/known-good.txt")) if one["kind"] == "magnetometer"
    )
    assert compass["mounted"] == {"roll_deg": 0, "pitch_deg": 0, "yaw_deg": 90}


# What is said beside the lines


@pytest.mark.parametrize("name", DUMPS)
def test_every_line_says_where_it_is_from_and_what_to_look_at(name: str) -> None:
    def looked(entries: tuple[Entry, ...], above: bool) -> None:
        for one in entries:
            if one.inner:
                looked(one.inner, above or bool(one.look))
            elif one.told and one.key:
                assert one.taken, one.key
                assert above or one.look, one.key
            else:
                assert one.look or one.taken, one.key

    looked(tuple(craft(Told(plain(name)))), False)


@pytest.mark.parametrize("name", DUMPS)
def test_the_top_says_that_it_proves_nothing(name: str) -> None:
    top = " ".join(
        line.removeprefix("#").strip() for line in of_sample(name).text.partition("\n\n")[0].splitlines()
    )
    assert "proves nothing until a person has looked at every line" in top
    assert "a fault of the dump is a fault here" in top
    assert "propellers off" in top
    assert "polarity and voltage by meter" in top
    assert name in top


@pytest.mark.parametrize("name", DUMPS)
def test_the_lines_that_it_names_are_in_the_dump(name: str) -> None:
    reading, text = plain(name), of_sample(name).text
    named = re.findall(r"(?:lines? |\| )([0-9]+): (.*?)(?= \| |\)?$)", text, re.MULTILINE)
    assert len(named) > 20
    lines = [one.shown for one in reading.dump.statements]
    for number, shown in named:
        assert lines[int(number) - 1].startswith(shown.rstrip("…")), number


@pytest.mark.parametrize("name", DUMPS)
def test_every_line_to_fill_in_can_be_taken_at_its_example(name: str) -> None:
    text = opened(of_sample(name).text)
    every = build_from(read_yaml(text, "build.yaml")).tree
    for path in (("propeller",), ("battery", "c_rating"), ("board", "rails"), ("video_link", "country")):
        assert told(every, *path) is not None, path


@pytest.mark.parametrize("name", DUMPS)
def test_no_private_value_is_in_it(name: str) -> None:
    text = of_sample(name).text
    assert not {"Wren", "Alder", "7c-1f-a3-09-5e"} & {*re.findall(r"[\w-]+", text)}
