"""Dumps copied from a terminal: what it left in them is recognised, said in one line and not read."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.read import CUT_OFF
from cfgaudit.dump.capture import cleaned, without_echo
from cfgaudit.dump.statement import Kind
from cfgaudit.dump.text import Text, decode
from tests.dump import texts
from tests.dump.captures import (
    CODES,
    COMMANDS,
    NAMES,
    ROOT,
    Capture,
    capture,
    check,
    read,
    text_of,
    values,
)

PROMPTS = ("plover>", "[3] bench:", "craft#", "pilot@bench:~$", "(setup)%", ">", "=>", "$")
SAMPLES = sorted(file for file in (ROOT / "samples").glob("*/*.txt") if b"\x1b" not in file.read_bytes())
PLAIN = st.text(st.sampled_from('abclink 0159 .,_-/()=:[]"'), max_size=30)


def clean(text: str) -> Text:
    return cleaned(Text("capture.txt", text, "utf-8", mark=False))


def note(noisy: Capture, name: str) -> str:
    (only,) = check(name, noisy).dump.source.notes
    return only


# Clean dumps


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: f"{file.parent.name}-{file.stem}")
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_a_clean_dump_stays_as_it_is(file: object, end: bytes) -> None:
    source = decode(file.read_bytes().replace(b"\n", end), "dump.txt")  # type: ignore[attr-defined]
    assert cleaned(source) is source


@given(st.lists(PLAIN, max_size=40))
@settings(max_examples=200, deadline=None)
def test_text_that_no_terminal_touched_stays_as_it_is(rows: list[str]) -> None:
    source = Text("dump.txt", "\n".join(rows), "utf-8", mark=False)
    assert cleaned(source) is source


@given(texts.NOISE)
@settings(max_examples=200, deadline=None)
def test_any_text_at_all_keeps_its_length_and_its_bytes(text: str) -> None:
    found = clean(text)
    assert len(found.text) == len(text)
    assert found.encoded() == text.encode()
    for now, then in zip(found.text, text, strict=True):
        assert (now == "\n") == (then == "\n")


@pytest.mark.parametrize(
    "text",
    [
        'craft := "otter> "\nvolts.warn := 350\n',
        "volts.warn := 350\ncraft := otter> ",
        "craft=otter>",
        "a = 1\nsay <otter> ",
        "CRAFT,<otter>",
        "pilot: Wren\ncraft: otter\ncolour:",
        "duty% 30\nduty% 40\nduty% 50\nlink u1\n",
        "more 3\n[more]\nmore = 2\n# -- more --\n",
        "# a\n# b\n#",
        "set: a 1\nset: b 2\nset: c 3\n",
        "\n".join(f"[tune {n}]\ngain = {n}\nlean = 2" for n in range(4)),
        "! \na\nb\nc\nd\ne\n! \nf\ng\nh\ni\nj\n",
    ],
)
def test_what_only_looks_like_it_stays(text: str) -> None:
    assert clean(text) == Text("capture.txt", text, "utf-8", mark=False)


# Each kind of noise alone


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("prompt", PROMPTS)
def test_a_prompt_and_the_echo(name: str, prompt: str) -> None:
    noisy = capture(name)
    noisy.insert(0, f"{prompt} {COMMANDS[name]}")
    noisy.insert(len(noisy.rows), f"{prompt} ")
    noisy.closed = False
    said = note(noisy, name)
    left_out = f"prompt “{prompt}” on 2 lines, the echo of “{COMMANDS[name]}”"
    assert said == f"a terminal capture: {left_out}: left out of reading"


@pytest.mark.parametrize("name", NAMES)
def test_a_prompt_on_one_line_alone(name: str) -> None:
    first, last, bare = capture(name), capture(name), capture(name)
    first.insert(0, f"craft> {COMMANDS[name]}")
    last.insert(len(last.rows), "craft>")
    bare.insert(0, COMMANDS[name])
    assert "prompt “craft>” on one line, the echo of" in note(first, name)
    assert "prompt “craft>” on one line: left out" in note(last, name)
    assert note(bare, name) == (
        f"a terminal capture: the echo of “{COMMANDS[name]}” on one line: left out of reading"
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_prompt_before_every_line(name: str) -> None:
    noisy = capture(name)
    noisy.rows = [f"craft> {row}" for row in noisy.rows]
    assert f"prompt “craft>” on {len(noisy.rows)} lines" in note(noisy, name)


@pytest.mark.parametrize("name", NAMES)
def test_a_prompt_before_some_lines(name: str) -> None:
    noisy = capture(name)
    for n in (0, 100, 104):
        noisy.rows[n] = f"craft> {noisy.rows[n]}"
    assert note(noisy, name) == "a terminal capture: prompt “craft>” on 3 lines: left out of reading"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("end", "said"),
    [
        ("\r\n", ""),
        ("\r", "its lines end in carriage returns alone"),
        ("\r\r\n", "a terminal capture: {} extra carriage returns: left out of reading"),
    ],
)
def test_line_ends(name: str, end: str, said: str) -> None:
    noisy = capture(name)
    noisy.end = end
    notes = check(name, noisy).dump.source.notes
    assert notes == ((said.format(len(noisy.rows)),) if said else ())


@pytest.mark.parametrize("name", NAMES)
def test_a_byte_order_mark(name: str) -> None:
    noisy = capture(name)
    noisy.mark = True
    assert note(noisy, name) == "a byte-order mark: left out of reading"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("where", [0, 1, 3, 5, 9, 14, 99])
def test_codes_anywhere_in_a_line(name: str, where: int) -> None:
    noisy = capture(name)
    noisy.rows = [f"{row[:where]}{CODES[0]}{CODES[4]}{row[where:]}\x1b[0m" for row in noisy.rows]
    said = f"colour and cursor codes on {len(noisy.rows)} lines"
    assert note(noisy, name) == f"a terminal capture: {said}: left out of reading"


def test_codes_in_a_quoted_value_leave_its_blanks_alone() -> None:
    text = 'pilot = "\x1b[1mWren \x1b[2mAlder\x1b[0m" \x1b[3m# x\n'
    assert clean(text).text == 'pilot = "Wren Alder"             ' + " " * 4 + "# x\n"


PAGERS = (
    "-- more --\n",
    "--More--(12%)\n",
    "---(more 23%)---\r                 \r",
    "<--- More --->\r              \r",
    "\x1b[7m--More--\x1b[27m\r\x1b[K",
    "--More--" + 8 * "\b" + 8 * " " + 8 * "\b",
    "--More--" + 8 * "\b",
    "-- MORE --, next page: space, quit: q\n",
    "Press any key for more\n",
)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("pager", PAGERS)
def test_a_pager(name: str, pager: str) -> None:
    noisy = capture(name)
    pages = range(len(noisy.rows) - 1, 0, -24)
    for n in pages:
        if pager.endswith("\n"):
            noisy.insert(n, pager[:-1])
        else:
            noisy.rows[n] = pager + noisy.rows[n]
    assert f"{len(pages)} pager lines" in note(noisy, name)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_dump_twice(name: str) -> None:
    noisy = capture(name)
    noisy.insert(0, *noisy.rows)
    assert note(noisy, name) == (
        "a terminal capture: the dump stands in it twice and the second is read: they are the same"
    )


@pytest.mark.parametrize("name", NAMES)
def test_twice_with_a_difference(name: str) -> None:
    noisy = capture(name)
    before = [row.replace("115200", "57600").replace(",1152", ",576") for row in noisy.rows]
    differing = sum(a != b for a, b in zip(before, noisy.rows, strict=True))
    noisy.insert(0, f"craft> {COMMANDS[name]}", *before, f"craft> {COMMANDS[name]}")
    assert note(noisy, name).endswith(f"the second is read: they differ in {differing} lines")


@pytest.mark.parametrize("name", NAMES)
def test_what_is_typed_after_the_end(name: str) -> None:
    noisy = capture(name)
    again = noisy.rows[4].replace("115200", "9600")
    noisy.insert(0, f"craft> {COMMANDS[name]}")
    noisy.insert(len(noisy.rows), f"craft> {again}", "craft> keep", "kept.", "craft>")
    assert "3 lines typed or printed after the dump's end" in note(noisy, name)


def test_what_is_typed_before_is_said_and_its_answer_is_not_hidden() -> None:
    text = "craft> hello\nwell met\ncraft> show everything\n" + text_of("otter") + "craft> "
    found = read(text.encode())
    assert [one.text for one in found.unknown] == ["well met\n"]
    assert "the echo of “hello”, “show everything”" in found.dump.source.notes[0]


def test_a_larger_answer_does_not_hide_the_dump() -> None:
    helped = "".join(f"word{n} does this\n" for n in range(900))
    text = f"craft> help\n{helped}craft> show everything\n{text_of('otter')}craft> "
    assert values(read(text.encode())) == values(read(text_of("otter").encode()))


def test_a_last_line_that_is_cut_off() -> None:
    text = text_of("otter").rstrip()
    found = read(text[: text.index("gas.fades") + 7].encode())
    assert [one.text for one in found.unknown] == ["gas.fad"]
    assert found.dump.source.notes == (CUT_OFF,)
    assert read(text.encode()).dump.source.notes == ()


def test_an_echo_is_only_the_whole_command() -> None:
    text = Text("a", "show everything now\nshow everything\n", "utf-8", mark=False)
    assert without_echo(text, "show everything").text == "show everything now\n" + 15 * " " + "\n"
    assert without_echo(text, "show") is text
    assert without_echo(text, "") is text


# Columns between blanks: the first words are names, and no two lines are alike

LATHE = """\
# lathe parameters 3.2
SPINDLE_LEAST\t60
SPINDLE_MOST\t2400
AXIS1_PITCH\t5.0
AXIS2_PITCH\t4.0
AXIS1_SLACK\t0.02 0.01
AXIS2_SLACK\t0.03 0.01
JAW_FORCE\t35
TURRET_TOOLS\t8
TYPE_OF_PROBE\tpress
MORE_SPEED\ton
SHOWN_AS\t"weir lathe"
"""
MOUNT = """\
# mount parameters 2.1
NAME,owl
SITE,"far bank, north",12
AXIS1_RATIO,180,1
AXIS2_RATIO,180,1
PARK,1,90,0
PARK,2,0,45
GUIDE_RATE,0.5
NOTE,kept under the old mill
TYPE,3
MORE,1
PRESS,any key
"""


def said(text: str) -> list[tuple[str, ...]]:
    found = texts.statements(text, "columns").statements
    return [one.words for one in found if one.words and one.kind is not Kind.REMARK]


@pytest.mark.parametrize("dump", [LATHE, MOUNT], ids=["lathe", "mount"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_columns_stay_as_they_are(dump: str, end: str) -> None:
    source = Text("dump.txt", dump.replace("\n", end), "utf-8", mark=False)
    assert cleaned(source) is source


@pytest.mark.parametrize("dump", [LATHE, MOUNT], ids=["lathe", "mount"])
@pytest.mark.parametrize("prompt", PROMPTS)
def test_a_prompt_in_columns(dump: str, prompt: str) -> None:
    first, rows = f"{prompt} list it all\n", dump.splitlines(keepends=True)
    assert said(clean(f"{first}{dump}{prompt} ").text) == said(dump)
    assert said(clean(f"{first}{dump}{prompt} keep\nkept.\n{prompt}").text) == said(dump)
    some = "".join(f"{prompt} {row}" if n in (2, 5, 6) else row for n, row in enumerate(rows))
    if prompt[-1] != ":":
        assert said(clean(some).text) == said(dump)
    if prompt == "plover>":
        every = "".join(f"{prompt} {row}" for row in rows)
        assert said(clean(first + every + prompt).text) == said(dump)


@pytest.mark.parametrize("dump", [LATHE, MOUNT], ids=["lathe", "mount"])
def test_columns_twice(dump: str) -> None:
    found = clean(
        f"craft> list it\n{dump}craft> list it\n{dump.replace('180', '90').replace('60', '50')}craft> "
    )
    assert "the dump stands in it twice and the second is read: they differ in" in found.notes[0]
    assert said(found.text) == said(dump.replace("180", "90").replace("60", "50"))


@pytest.mark.parametrize("dump", [LATHE, MOUNT], ids=["lathe", "mount"])
@pytest.mark.parametrize("pager", PAGERS)
def test_a_pager_in_columns(dump: str, pager: str) -> None:
    rows = dump.splitlines(keepends=True)
    rows.insert(6, pager)
    assert said(clean("".join(rows)).text) == said(dump)


@pytest.mark.parametrize("dump", [LATHE, MOUNT], ids=["lathe", "mount"])
@pytest.mark.parametrize("code", CODES)
def test_codes_anywhere_in_columns(dump: str, code: str) -> None:
    """Blanks belong to the values where commas stand between them: a code leaves none there."""
    for at in range(30):
        rows = [f"{row[:at]}{code}{row[at:]}" for row in dump.splitlines()]
        assert said(clean("\n".join(rows)).text) == said(dump), at


def test_a_column_behind_a_code_stands_where_it_stood() -> None:
    text = "NOTE\x1b[1m,kept un\x1b[2mder the \x1b[3mmill,  \x1b[4m 3\x1b[0m\nA,1\nB,2\n"
    assert clean(text).text.split("\n")[0] == "NOTE    ,kept under the mill        ,       3    "


# All of it together


@st.composite
def noisy_dumps(draw: st.DrawFn) -> tuple[str, Capture]:
    name = draw(st.sampled_from(NAMES))
    chance = draw(st.randoms(use_true_random=False))
    noisy = capture(name)
    noisy.end = draw(st.sampled_from(["\n", "\r\n", "\r\r\n", "\r"]))
    noisy.mark = draw(st.booleans())
    prompt = draw(st.sampled_from(PROMPTS))
    echo = f"{prompt} {COMMANDS[name]}"
    twice = draw(st.booleans())
    with_prompt = draw(st.booleans())
    rows = noisy.rows[:]
    if with_prompt:
        noisy.insert(0, echo)
        if twice:
            noisy.insert(0, echo, *rows)
        if draw(st.booleans()):
            noisy.insert(len(noisy.rows), f"{prompt} keep", "kept.")
        noisy.insert(len(noisy.rows), f"{prompt} ")
        noisy.closed = False
    elif twice:
        noisy.insert(0, *rows)
    pager = draw(st.sampled_from(["", *PAGERS]))
    if pager.endswith("\n"):
        for n in range(len(noisy.rows) - 2, 1, -draw(st.integers(10, 60))):
            noisy.insert(n, pager[:-1])
    elif pager and not ("\r" in pager and noisy.end == "\r"):
        for n in range(len(noisy.rows) - 2, 1, -draw(st.integers(10, 60))):
            noisy.rows[n] = pager + noisy.rows[n]
    if draw(st.booleans()):
        for n, row in enumerate(noisy.rows):
            if "\b" not in row and "\r" not in row and chance.random() < 0.5:
                at = chance.randint(0, len(row))
                noisy.rows[n] = row[:at] + chance.choice(CODES) + row[at:]
    return name, noisy


@given(noisy_dumps())
@settings(max_examples=60, deadline=None)
def test_a_noisy_capture_reads_as_the_dump(made: tuple[str, Capture]) -> None:
    check(*made)


# Texts made to take long


@pytest.mark.parametrize(
    "unit",
    ["\x1b", "\x1b[1;", "\x1b]0;a", "a\b", "\r", "\r\r\n", "a>", "> \n", "--more", "press key ", 'a\x1b[m"'],
)
def test_nothing_takes_long(unit: str) -> None:
    text = unit * (300_000 // len(unit))
    assert len(clean(text).text) == len(text)


def test_an_odd_blank_behind_a_prompt_is_no_command() -> None:
    text = "a> set x\nx := 3\na> \xa0\na>\n"
    assert len(clean(text).text) == len(text)


DIFFERENT = "".join(f"{letter}{other}> {letter}\b\n" for letter in "abcdefghij" for other in "klmnopqrst")


@pytest.mark.parametrize(
    "unit",
    [
        "a\n",
        "\r",
        "\b\n",
        "\x1b[m\n",
        "\x1b\r",
        "a>\n",
        "%:\n",
        "a>b\nb\n",
        "--more--\n",
        "--more--\r",
        DIFFERENT,
    ],
)
def test_cleaning_takes_time_by_the_lines(unit: str) -> None:
    def takes(count: int) -> float:
        text = unit * (count // max(1, unit.count("\n") + unit.count("\r")))
        begun = time.process_time()
        clean(text)
        return time.process_time() - begun

    takes(500)
    assert min(takes(40_000) for _ in range(3)) < 5 * min(takes(20_000) for _ in range(3)) + 0.05
