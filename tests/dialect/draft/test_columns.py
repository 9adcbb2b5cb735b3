"""Drafts of dumps in columns: names with an index, rows with a key, port numbers of the firmware's own."""

from __future__ import annotations

import random
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

import cfgaudit
from cfgaudit.dialect.codec.port import Port
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.draft.draft import Draft, draft
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.teach.lesson import kept_lessons
from cfgaudit.dialect.teach.teach import proofs
from cfgaudit.dump.text import Text
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Value
from tests.dialect.draft.drafted import SAMPLES, leaves, loaded, read, sheet, source, told, typed

SEEDS = st.integers(0, 10**9)
JOBS = {
    "receiver": "receiver", "gnss": "gnss", "displayport": "digital video", "telemetry": "telemetry radio",
    "rangefinder": "rangefinder", "esc-telemetry": "esc telemetry",
}  # fmt: skip
PLAIN = ("REED", "SEDGE", "ALDER", "OSIER", "WILLOW", "RUSH", "FERN", "MOSS", "WEIR", "POOL", "FORD", "MERE")


def on_board(made: Draft, dump: Text, build: Build) -> Reading:
    """A dump, read by the draft on the sheet's board."""
    dialect: Dialect = loaded(made).on_board(build.port_numbers)
    return read_dump(dump, as_dialect(dump, dialect))


class Columns(Struct, frozen=True):
    """A firmware that writes columns, the sheet of a craft with it, and what its ports truly are."""

    dump: str
    ports: str  # the sheet's, with the firmware's numbers
    devices: str
    true: dict[str, Value]

    def sheet(self, numbers: bool) -> Build:
        """The sheet, with or without the numbers of the ports."""
        ports = self.ports if numbers else re.sub(r"number: [0-9]+", "", self.ports)
        return told(f"board: {{ports: {{{ports}}}}}\ndevices:\n{self.devices}")


def columns(seed: int) -> Columns:
    """The firmware of a seed."""
    draw = random.Random(seed)
    sign = draw.choice((",", ",", "\t", "   "))
    count = draw.randint(4, 6)
    ports = draw.sample([f"UART{n}" for n in range(1, 9)], count)
    jobs = draw.sample([*JOBS], draw.randint(3, 4))
    wired = dict(zip(ports, jobs, strict=False))
    rates = dict(zip(ports, draw.sample((57600, 115200, 230400, 38400, 19200, 460800), count), strict=True))
    numbers = dict(zip(ports, draw.sample(range(1, 10), count), strict=True))
    if draw.random() < 0.5:
        codes = {
            job: str(1 << bit) for job, bit in zip(jobs, draw.sample(range(4, 14), len(jobs)), strict=True)
        }
    else:
        codes = {job: str(code) for job, code in zip(jobs, draw.sample(range(3, 40), len(jobs)), strict=True)}
    stem, work, pace = (
        draw.choice(("LINK", "WIRE", "PORT", "U")),
        draw.choice(PLAIN),
        draw.choice(("RATE", "PACE")),
    )
    true: dict[str, Value] = {}
    lines = []
    for port in sorted(ports, key=numbers.__getitem__):
        own = f"{stem}{numbers[port]}"
        lines += [
            sign.join((f"{own}_{work}", codes[wired[port]] if port in wired else "0")),
            sign.join((f"{own}_{pace}", str(rates[port]))),
            sign.join((f"{own}_FLIP", draw.choice("01"))),
        ]
        true[f"ports.{port}.functions"] = (wired[port],) if port in wired else ()
        true[f"ports.{port}.rate_baud"] = rates[port]
    lines += [sign.join((f"{word}_{n}X", str(draw.randint(0, 4000)))) for n, word in enumerate(PLAIN)]
    lines += [sign.join((f"GATE{n}_PAIR", str(n * 40), str(n * 50))) for n in range(draw.randint(0, 4))]
    draw.shuffle(lines)
    listed = ", ".join(f"{port}: {{number: {numbers[port]}}}" for port in sorted(ports))
    devices = "".join(
        f"  - {JOBS[job]}: {{port: {port}, rate_baud: {rates[port]}}}\n" for port, job in wired.items()
    )
    return Columns("\n".join(["# heath 1.2.3, all", *lines, ""]), listed, devices, true)


# Invented firmwares


@settings(max_examples=80, deadline=None)
@given(SEEDS)
def test_what_is_settled_is_true(seed: int) -> None:
    one = columns(seed)
    dump, build = typed(one.dump), one.sheet(numbers=True)
    made = draft(dump, build)
    assert made.sketch.family == "columns"
    reading = on_board(made, dump, build)
    found = leaves(reading.model)
    assert {path: value for path, value in found.items() if one.true.get(path) != value} == {}, one.dump
    assert not reading.unknown
    assert not reading.doubts


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_what_the_rates_tell_is_true_once_the_sheet_says_the_numbers(seed: int) -> None:
    """The sheet of the draft leaves the numbers out; the codes that the rates lead to are the right ones."""
    one = columns(seed)
    dump = typed(one.dump)
    made = draft(dump, one.sheet(numbers=False))
    found = leaves(on_board(made, dump, one.sheet(numbers=True)).model)
    assert {path: value for path, value in found.items() if one.true.get(path) != value} == {}, one.dump
    asked = next((q.readings for q in made.questions if "numbers of ports" in q.about), ())
    for line in asked:
        port, number = re.findall(r"board\.ports\.(\w+)\.number: (\d+)", line)[0]
        assert f"{port}: {{number: {number}}}" in one.ports


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_without_a_sheet_every_line_is_read_and_none_has_a_meaning(seed: int) -> None:
    dump = typed(columns(seed).dump)
    made = draft(dump)
    reading = read(made, dump)
    assert not reading.unknown
    assert not reading.doubts
    assert leaves(reading.model) == {}
    assert reading.dump.text == dump.text


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_every_line_is_written_back_exactly(seed: int) -> None:
    one = columns(seed)
    dump = typed(one.dump)
    for entry in read(draft(dump, one.sheet(numbers=True)), dump).entries:
        written = entry.form.line.render(entry.texts)
        assert written.split() == entry.statement.shown.split()
        if "," in entry.statement.text:
            assert written == entry.statement.shown


def test_most_ports_are_settled_with_and_without_the_numbers() -> None:
    for numbers in (True, False):
        solved = 0
        for seed in range(60):
            one = columns(seed)
            guesses = draft(typed(one.dump), one.sheet(numbers)).guesses
            solved += any(guess.path == "ports.{n}.functions" for guess in guesses)
        assert solved > 45, (numbers, solved)


# The shapes of lines


def made_of(*lines: str) -> Draft:
    return draft(typed("\n".join(("# heath 1.2 all", *lines, ""))))


def kinds(made: Draft) -> set[str]:
    return {group.line for group in made.sketch.groups}


def test_names_with_an_index_are_lines_of_one_form() -> None:
    made = made_of(
        "LINK1_WORK,20", "LINK2_WORK,15", "LINK3_PACE,96", "OUT3_PAD,C06", "OUT4_PAD,C07", "GAIN,4"
    )
    assert kinds(made) == {"LINK{n}_WORK,{work}", "LINK3_PACE", "OUT{n}_PAD,{pad}", "GAIN"}
    assert made.sketch.separator == ","
    assert 'assignment: "{name},{value}"' in made.text
    assert 'separator: ","' in made.text


def test_rows_with_a_key_in_the_second_column() -> None:
    made = made_of("RANGE,arm,900,1300", "RANGE,beep,900,1300", "GAIN,4", "GAIN,4", "LEAN,4,5", "LEAN,4,5")
    assert kinds(made) == {"RANGE,{id},{low},{high}", "GAIN", "LEAN,{c2},{c3}"}


def test_a_word_with_a_number_behind_it_stands_apart() -> None:
    made = made_of("PAD0,C08,ROTOR1", "PAD1,C06,ROTOR2", "PAD4,B00,GLOW", "GAIN,4")
    assert kinds(made) == {"PAD{n},{pin},ROTOR{c3}", "PAD{n},{pin},{c3}", "GAIN"}


def test_blanks_and_tabs_are_one_separator() -> None:
    names = ("REED", "SEDGE", "ALDER", "OSIER", "WILLOW", "RUSH", "FERN")
    made = made_of(*(f"{name}_AT\t{n}" for n, name in enumerate(names)), "LINK1_WORK   4", "LINK2_WORK \t 5")
    assert made.sketch.separator == " "
    assert "LINK{n}_WORK {work}" in kinds(made)
    assert 'assignment: "{name} {value}"' in made.text


@pytest.mark.parametrize(
    "lines",
    [
        ("A,1", "B,2,,3", "C,3", "D,4", *(f"E{n},4" for n in range(20))),
        ('A,"x, y",1', 'A,"z",2', "B,two words", "C,3,", "C,4,"),
        ("A=B,1", "C{D},2", "C{E},3", "F}{,4", *(f"G{n},1" for n in range(40))),
        ("a1b1,1", "a1b2,1", "a2b1,1", "a2b2,1,2", "c1,x1", "c2,x2", "c3,7"),
        ("N1,a b", "N2,c d", 'M1,"a"', 'M2,"b, c"', "N,4 # later"),
    ],
)
def test_odd_lines_are_read_or_said_to_be_astray(lines: tuple[str, ...]) -> None:
    dump = typed("\n".join(lines))
    made = draft(dump)
    assert made.sketch.family == "columns"
    reading = read(made, dump)
    assert not [one.shown for one in reading.unknown if one.line not in made.sketch.astray]
    assert not reading.doubts
    assert reading.dump.text == dump.text


CELL = st.sampled_from(["1", "20", "x", "X1", "C06", "two words", '"q, r"', "{a}", "a=b", "0x1f", "-"])
NAME = st.sampled_from(
    ["A", "A1", "A2_B", "A3_B", "LINK1_X", "LINK2_X", "L1", "L2", "a.b", "c-1", "n{", "1A"]
)
LINE = st.tuples(NAME, st.lists(CELL, min_size=1, max_size=4)).map(lambda made: ",".join((made[0], *made[1])))


@settings(max_examples=150, deadline=None)
@given(st.lists(LINE, min_size=3, max_size=30))
def test_a_draft_of_any_columns_loads_and_reads_them(lines: list[str]) -> None:
    dump = typed("\n".join(lines))
    made = draft(dump)
    reading = read(made, dump)
    assert not [one.shown for one in reading.unknown if one.line not in made.sketch.astray], made.text


# The sample


def test_the_samples_ports_are_found_by_the_sheets_numbers() -> None:
    dump, build = source("vole"), sheet("vole")
    made = draft(dump, build)
    mine = leaves(on_board(made, dump, build).model)
    true = leaves(cfgaudit.read_dump(str(SAMPLES / "vole" / "known-good.txt"), build=build).model)
    mine = {path: value for path, value in mine.items() if not path.startswith("outputs")}
    assert {path: value for path, value in mine.items() if true.get(path) != value} == {}
    ports = {path.split(".")[1] for path in mine if path.startswith("ports")}
    assert ports == {"USB", "UART1", "UART2", "UART3", "UART4", "UART5", "LPUART1"}
    forms = [form for form in loaded(made).scopes[0].forms if form.line.text.startswith("LINK{n}")]
    assert len(forms) == 4
    assert all(isinstance(form.cells["n"].codec, Port) for form in forms)


def test_the_samples_motors_are_found() -> None:
    """The firmware's outputs are counted as it counts them, from 0."""
    found = leaves(read(draft(source("vole"), sheet("vole")), source("vole")).model)
    pins = {found[f"outputs.{n}.motor"]: found[f"outputs.{n}.pin"] for n in range(4)}
    assert pins == {1: "PC8", 2: "PC6", 3: "PC7", 4: "PC9"}


def test_the_samples_lessons_hold_without_a_board() -> None:
    placed = read_yaml(draft(source("vole"), sheet("vole")).text, "draft.yaml")
    dialect = loaded(draft(source("vole"), sheet("vole")))
    found = list(proofs(dialect, kept_lessons(placed)))
    assert len(found) == 7
    assert all(one.given and not one.wrong for one in found)
