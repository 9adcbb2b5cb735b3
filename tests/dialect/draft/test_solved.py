"""With a known-good dump and its build sheet the codes are solved for, and only one reading is settled."""

from __future__ import annotations

import pytest

import cfgaudit
from cfgaudit.dialect.codec.bits import Bits
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Words
from cfgaudit.dialect.draft.draft import draft
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import named_dialect, own_dialect
from cfgaudit.dialect.teach.fact import fact
from cfgaudit.dialect.teach.lesson import kept_lessons
from cfgaudit.dialect.teach.teach import proofs, teach
from cfgaudit.dump.read import read_statements
from cfgaudit.model.path import parse
from cfgaudit.model.placed import read_yaml
from tests.dialect.draft.drafted import SAMPLES, drafted, leaves, loaded, sheet, source, told, typed

SHEET = """
board: {ports: {USB: {}, UART1: {}, UART2: {}, UART3: {}, UART4: {}}}
devices:
  - receiver: {port: UART1, speaks: crsf, rate_baud: 420000}
  - gnss: {port: UART3, rate_baud: 57600}
  - digital video: {port: UART4, rate_baud: 115200}
"""


def rows(*lines: str) -> str:
    return "".join(f"{line}\n" for line in ("# heath 1.2 all", *lines))


@pytest.mark.parametrize(("craft", "name"), [("otter", "plover"), ("heron", "dunlin")])
def test_what_is_settled_is_what_the_firmware_means(craft: str, name: str) -> None:
    dump = source(craft)
    mine = leaves(drafted(dump, sheet(craft)).model)
    true = leaves(cfgaudit.read_dump(str(SAMPLES / craft / "known-good.txt"), name).model)
    assert {path: value for path, value in mine.items() if true.get(path) != value} == {}
    assert len(mine) > 30


def test_plovers_job_bits_are_found() -> None:
    made = loaded(draft(source("otter"), sheet("otter")))
    true = named_dialect("plover")
    found = next(made.giving(parse("ports.UART4.functions")))[1].cells["c2"].codec
    known = next(true.giving(parse("ports.UART4.functions")))[1].cells["jobs"].codec
    assert isinstance(found, Bits)
    assert isinstance(known, Bits)
    assert found.base == known.base
    assert found.words.items() <= known.words.items()
    assert {"receiver", "displayport", "gnss", "console-link"} == set(found.words.values())


def test_dunlins_job_words_are_found() -> None:
    made = loaded(draft(source("heron"), sheet("heron")))
    true = named_dialect("dunlin")
    found = next(made.giving(parse("ports.UART1.functions")))[1].cells["value"].codec
    known = next(true.giving(parse("ports.UART1.functions")))[1].cells["value"].codec
    assert isinstance(found, Series)
    assert isinstance(known, Series)
    assert isinstance(found.of, Words)
    assert isinstance(known.of, Words)
    assert found.of.values.items() <= known.of.values.items()
    assert len(found.of.values) == 6
    assert found.empty == known.empty


def test_numbers_from_nought_are_told_from_those_from_one() -> None:
    dump = typed(
        rows(
            "port 0 2 4200",
            "port 1 0 1152",
            "port 2 8 576",
            "port 3 64 1152",
        )
    )
    given = leaves(drafted(dump, told(SHEET)).model)
    assert given["ports.UART1.functions"] == ("receiver",)
    assert given["ports.UART4.functions"] == ("displayport",)
    assert given["ports.UART3.rate_baud"] == 57600


def test_small_numbers_are_words_and_not_bits() -> None:
    dump = typed(rows("port 1 1 420000", "port 2 0 115200", "port 3 3 57600", "port 4 2 115200"))
    given = leaves(drafted(dump, told(SHEET)).model)
    assert given["ports.UART3.functions"] == ("gnss",)
    assert given["ports.UART2.functions"] == ()


def test_two_readings_are_left_open_and_both_are_said() -> None:
    """Two columns could each hold the jobs."""
    dump = typed(
        rows(
            "port 1 2 7 420000",
            "port 2 0 0 115200",
            "port 3 8 9 57600",
            "port 4 64 3 115200",
        )
    )
    made = draft(dump, told(SHEET))
    assert not [guess for guess in made.guesses if guess.path.startswith("ports")]
    question = next(one for one in made.questions if "job" in one.about)
    assert len(question.readings) == 2
    assert all(
        reading.split(";")[0] in " ".join(made.text.split()) or reading for reading in question.readings
    )
    assert "2 readings fit" in made.text


def test_one_device_is_too_few() -> None:
    dump = typed(rows("port 1 2 420000", "port 2 0 115200", "port 3 0 57600"))
    build = told("devices: [{receiver: {port: UART1, rate_baud: 420000}}]")
    made = draft(dump, build)
    assert not [guess for guess in made.guesses if guess.path.startswith("ports")]
    assert any("too few" in one.about for one in made.questions)


def test_a_sheet_of_another_craft_settles_no_ports() -> None:
    made = draft(source("otter"), sheet("heron"))
    assert not [guess for guess in made.guesses if guess.path.startswith(("ports", "outputs"))]


def test_nothing_is_settled_twice() -> None:
    for craft in ("otter", "heron", "teach"):
        made = draft(source(craft), sheet(craft))
        paths = [guess.path for guess in made.guesses if guess.path]
        assert len(paths) == len(set(paths))
        spots = [(guess.place, guess.cell) for guess in made.guesses]
        assert len(spots) == len(set(spots))


@pytest.mark.parametrize(
    ("craft", "line", "after", "told"),
    [
        ("otter", "link u3 does 0x0 at", "link u3 does 0x40 at", "ports.UART3.functions += telemetry"),
        ("otter", "link u4 does 0x80 at", "link u4 does 0xC0 at", "ports.UART4.functions += telemetry"),
        ("heron", "[link H]\ncarries = idle", "[link H]\ncarries = whistle", "ports.UART7.functions += msp"),
        ("teach", "serial/2/duty: 0", "serial/2/duty: 4", "ports.UART2.functions += telemetry"),
    ],
)
def test_a_lesson_adds_to_what_the_sheet_has_told(craft: str, line: str, after: str, told: str) -> None:
    dump = source(craft)
    made = draft(dump, sheet(craft))
    changed = typed(dump.text.replace(line, after))
    assert changed.text != dump.text
    family = made.sketch.family
    before, then = read_statements(dump, family), read_statements(changed, family)
    got = teach(read_yaml(made.text, "draft.yaml"), before, then, [fact(told)])
    assert not got.refused
    taught = own_dialect(read_yaml(got.text, "draft.yaml"))
    base = leaves(drafted(dump, sheet(craft)).model)
    new = leaves(read_dump(changed, as_dialect(changed, taught)).model)
    path = told.split()[0]
    assert {one for one in new if new[one] != base.get(one)} == {path}
    word = told.split()[-1]
    functions = new[path]
    assert isinstance(functions, tuple)
    assert word in functions


@pytest.mark.parametrize(("craft", "count"), [("otter", 5), ("heron", 8), ("teach", 5)])
def test_what_the_sheet_tells_is_kept_as_lessons_and_holds(craft: str, count: int) -> None:
    placed = read_yaml(draft(source(craft), sheet(craft)).text, "draft.yaml")
    found = list(proofs(own_dialect(placed), kept_lessons(placed)))
    assert len(found) == count
    assert all(one.given and not one.wrong for one in found)
