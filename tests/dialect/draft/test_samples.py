"""A draft of every dump in the samples loads, knows every line, and says why."""

from __future__ import annotations

import re

import pytest

from cfgaudit.dialect.draft.draft import draft
from cfgaudit.dialect.shelf import shipped_fronts
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.text import Text, decode
from tests.dialect.draft.drafted import SAMPLES, drafted, leaves, loaded, read, sheet, source
from tests.dialect.dumps import DUMPS

EVERY = sorted(
    str(file.relative_to(SAMPLES))
    for file in SAMPLES.rglob("*.txt")
    if re.search(r"good|before|after|faulty|lesson|update|factory", file.name)
)


@pytest.mark.parametrize("name", EVERY)
def test_a_draft_reads_its_dump(name: str) -> None:
    text = decode((SAMPLES / name).read_bytes(), name)
    made = draft(text)
    reading = read(made, text)
    strays = [one for one in reading.unknown if one.line not in made.sketch.astray]
    assert not strays
    assert not reading.doubts
    assert "evidence:" in made.text
    assert reading.dump.text == text.text


@pytest.mark.parametrize("name", EVERY)
def test_every_form_and_setting_has_its_reason_beside_it(name: str) -> None:
    made = draft(decode((SAMPLES / name).read_bytes(), name), sheet(name.split("/")[0]))
    lines = made.text.splitlines()
    for n, line in enumerate(lines):
        if re.match(r" *- (line|opens):", line) or ("{is: " in line):
            above = next(one for one in reversed(lines[:n]) if not re.match(r" *#   ", one))
            assert re.match(r" *# (evidence|settled): ", above), line
    for guess in made.guesses:
        assert guess.why
    assert re.search(r"^# Not placed in the model: \d+ lines", made.text, re.MULTILINE)


@pytest.mark.parametrize("name", sorted(DUMPS))
def test_the_drafts_of_the_tests_dumps_read_them(name: str) -> None:
    text = Text("dump.txt", DUMPS[name], "utf-8", mark=False)
    reading = drafted(text)
    assert not reading.unknown
    assert not reading.doubts


def test_the_header_makes_a_dump_known_again() -> None:
    made = draft(source("teach"), sheet("teach"))
    front = loaded(made)
    assert front.name == "dabchick"
    reading = read(made, source("teach", "faulty.txt"))
    assert reading.recognition.matched == 1
    assert reading.recognition.version == "0.9.4"
    assert reading.extent.value == "full"
    assert not reading.unknown


def test_no_dialect_in_the_box_knows_the_dump_to_teach() -> None:
    assert "dabchick" not in {front.name for front in shipped_fronts()}
    statements = read_statements(source("teach"), "console").statements
    assert not [one for one in statements if one.kind == "stray"]


def test_a_draft_without_a_sheet_is_careful() -> None:
    """Only what names itself, and voltages in order, have a meaning without a sheet."""
    for craft in ("otter", "heron", "teach"):
        given = set(leaves(drafted(source(craft)).model))
        assert given <= {
            "receiver.link", "receiver.channel_order", "gnss.protocol", "motors.protocol",
            "battery.cell_full_v", "battery.cell_warn_v", "battery.cell_empty_v",
        }  # fmt: skip
        assert "motors.protocol" in given


def test_what_rows_look_like_is_said_where_nothing_settles_it() -> None:
    said = {one.about: one.readings for one in draft(source("otter")).questions}
    assert said["which rows are serial ports (bit rates)"] == ("link {id} does {c2} at {rate}",)
    assert "switch" in said["which rows are switch positions (pairs of pulses)"][0]
    assert any(one.startswith("tap") for one in said["which rows are pins"])
    assert "screen (serial)" in said["which setting is osd.drive"]
