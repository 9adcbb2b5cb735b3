"""One text for one configuration, whatever the dump looks like."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.canonical import header_lines, setting_lines
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dump.capture import cleaned, without_echo
from cfgaudit.dump.text import Text
from tests.audit.bench import sample
from tests.compare.carry.builder import at_work
from tests.compare.carry.wren import OLD, wren
from tests.dialect.small import KNOT, TEAL, compiled, read

SAMPLES = (
    "otter/known-good.txt",
    "otter/after.txt",
    "heron/known-good.txt",
    "heron/factory-3.0.txt",
    "vole/known-good.txt",
    "vole/changed-only.txt",
)
each_sample = pytest.mark.parametrize("name", SAMPLES)


def text_of(reading: Reading) -> str:
    return "".join(f"{line}\n" for line in (*header_lines(reading), "", *setting_lines(reading)))


def again(reading: Reading, text: str) -> Reading:
    return anew(reading, Text("again.txt", text, "utf-8", mark=False))


def anew(reading: Reading, source: Text) -> Reading:
    return read_dump(source, as_dialect(source, reading.recognition.dialect))


def said(reading: Reading) -> object:
    leaves = {path: leaf.value for path, leaf in reading.model.leaves.items()}
    settings_ = {name: leaf.value for name, leaf in reading.model.settings.items()}
    return leaves, settings_, sorted(" ".join(one.text.split()) for one in reading.unknown)


@each_sample
@settings(max_examples=8, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([0.0, 0.1, 0.6]))
def test_the_text_says_what_the_dump_says_and_is_its_own_text(name: str, seed: int, share: float) -> None:
    first = sample(name)
    reading = again(first, at_work(first, Random(seed), share).text)
    text = text_of(reading)
    assert said(again(reading, text)) == said(reading)
    assert text_of(again(reading, text)) == text


@each_sample
def test_remarks_blanks_and_overruled_lines_leave_no_trace(name: str) -> None:
    reading = sample(name)
    noisy = []
    for statement in reading.dump.statements:
        noisy += ["", f"{reading.dialect.remark} a remark of somebody's", statement.text.rstrip("\r\n")]
    assert text_of(again(reading, "\n".join(noisy))) == text_of(reading)


def test_lines_in_another_order_give_the_same_text() -> None:
    head, *lines = OLD.splitlines()
    for seed in range(20):
        Random(seed).shuffle(lines)
        assert text_of(wren("\n".join([head, *lines, ""]))) == text_of(wren(OLD))


def test_each_value_has_one_spelling() -> None:
    other = (
        OLD.replace("gust := 20", "gust :=  +20")
        .replace("PA0", "pa_0")
        .replace('secret := ""', 'secret := ""')
    )
    assert text_of(wren(other)) == text_of(wren(OLD))


def test_what_nobody_understands_stays_in_its_scope() -> None:
    first = sample("heron/known-good.txt")
    text = "".join(one.text for one in first.dump.statements)
    text = text.replace("[motors]\n", "[motors]\nodd = 1\n").replace("craft =", "strange = 2\ncraft =")
    text += "[nobody knows]\nz = 1\na = 2\n"
    reading = again(first, text)
    lines = text_of(reading).splitlines()
    assert lines.index("strange = 2") < lines.index("[link B]")
    below = lines[lines.index("[motors]") :]
    assert below.index("odd = 1") < below.index("")
    assert lines[-3:] == ["[nobody knows]", "z = 1", "a = 2"]
    assert said(again(reading, text_of(reading))) == said(reading)


def test_the_profile_in_use_stays_in_use() -> None:
    first = sample("otter/known-good.txt")
    for one in ("1", "2"):
        text = "".join(line.text for line in first.dump.statements) + f"tune {one}\n"
        reading = again(first, text)
        assert again(reading, text_of(reading)).model.leaves[("profiles", "active")].value == int(one)


def test_a_capture_leaves_nothing_of_the_terminal() -> None:
    first = sample("otter/known-good.txt")
    typed = "".join(f"{one.text.rstrip()}\r\n" for one in first.dump.statements)
    raw = f"plover> show everything\r\n{typed}plover> \r\n"
    source = without_echo(cleaned(Text("capture.txt", raw, "utf-8", mark=False)), first.dialect.dump_with)
    assert text_of(anew(first, source)) == text_of(first)


def test_an_unknown_section_that_comes_twice_is_there_twice() -> None:
    knot = compiled(KNOT)
    rows = ["; knot 1.0 for Reed-405", "[nowhere]", "a = 1", "[screen]", "[nowhere]", "b = 2"]
    reading = read(knot, *rows)
    text = [*setting_lines(reading)]
    again_ = read(knot, rows[0], *text)
    assert sorted(one.shown for one in again_.unknown) == sorted(one.shown for one in reading.unknown)
    assert [*setting_lines(again_)] == text


def test_a_selector_that_cannot_be_read_does_not_hide_which_one_is_used() -> None:
    teal = compiled(TEAL)
    rows = ("tune 2", "tune 1", "tune x")
    text = [*setting_lines(read(teal, "~ teal 1.0 on Reed-405, all", *rows))]
    again_ = read(teal, "~ teal 1.0 on Reed-405, all", *text)
    assert again_.model.leaves[("profiles", "active")].value == 1
    assert [*setting_lines(again_)] == text
