"""Templates of lines and paths: matching and filling in are each other's way back."""

from __future__ import annotations

import time

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cfgaudit.dialect import template
from cfgaudit.dump.statement import Statement
from tests.dump.texts import statements

often = settings(max_examples=40, deadline=None)

CELL = st.text("abcXYZ019._-µ", min_size=1, max_size=6)
FIXED = st.text("abcxyz", min_size=1, max_size=5)


def statement(text: str, family: str = "console") -> Statement:
    (one,) = statements(text, family).statements
    return one


@st.composite
def lines(draw: st.DrawFn) -> tuple[str, dict[str, str]]:
    """A template of a row and the texts of its cells."""
    words, texts = [draw(FIXED)], {}
    for n in range(draw(st.integers(0, 4))):
        shape = draw(st.sampled_from(["{%s}", "m{%s}", "{%s}hz", "x-{%s}-y", "fixed"]))
        name = f"c{n}"
        if "%s" in shape:
            texts[name] = draw(CELL)
            # a hole ends where the text behind it first comes again
            assume("hz" not in texts[name] and "-y" not in texts[name])
            shape = shape.replace("%s", name)
        words.append(shape)
    if draw(st.booleans()):
        words.append("{rest...}")
        texts["rest"] = " ".join(draw(st.lists(CELL, max_size=3)))
    return " ".join(words), texts


@given(lines())
@often
def test_a_line_filled_in_matches_its_template(made: tuple[str, dict[str, str]]) -> None:
    text, texts = made
    line = template.line(text)
    assert line.cells == tuple(texts)
    found = line.match(statement(line.render(texts)))
    assert found is not None
    assert found == texts


@given(lines(), st.text("abm-{} hz1", max_size=20))
@often
def test_what_matches_is_filled_in_the_same(made: tuple[str, dict[str, str]], text: str) -> None:
    line = template.line(made[0])
    for one in statements(text).statements:
        found = line.match(one) if one.words else None
        if found is not None:
            assert line.render(found).split() == text.split()


@pytest.mark.parametrize(
    ("text", "written", "texts"),
    [
        ("link {id} does {jobs}", "link u4  does\t0x80", {"id": "u4", "jobs": "0x80"}),
        ("link {id} does {jobs}", "link u4 does", None),
        ("link {id} does {jobs}", "link u4 does 0x80 more", None),
        ("link {id} does {jobs}", "links u4 does 0x80", None),
        ("out {n} turns m{motor}", "out 3 turns m3", {"n": "3", "motor": "3"}),
        ("out {n} turns m{motor}", "out 3 turns n3", None),
        ("out {n} turns m{motor}", "out 3 turns m", None),
        ("tone {event} {steps...}", "tone low 6  30 6", {"event": "low", "steps": "6  30 6"}),
        ("tone {event} {steps...}", "tone low", {"event": "low", "steps": ""}),
        ("tone {event} {steps...}", "tone", None),
        ("at {a}/{b}", "at 1/0", {"a": "1", "b": "0"}),
        ("at {a}/{b}", "at 1/0/2", {"a": "1", "b": "0/2"}),
        ("say {what}", 'say "a b"', {"what": '"a b"'}),
    ],
)
def test_rows(text: str, written: str, texts: dict[str, str] | None) -> None:
    found = template.line(text).match(statement(written))
    assert found == texts


@pytest.mark.parametrize("written", ["rate.job = 9600 x", "rate.job=9600  x # y", "rate.job   =9600\tx"])
def test_blanks_around_an_operator_are_free(written: str) -> None:
    found = template.line("rate.{job} = {baud} {more}").match(statement(written, "sectioned"))
    assert found == {"job": "job", "baud": "9600", "more": "x"}


def test_where_the_cells_stand() -> None:
    """Counted in words, as the line has them; of a tail its first word, or the line's last if it is empty."""
    line = template.line("tone {event} for {owner}-{n} {steps...}")
    full, bare = statement("tone low for a-3 1 2 3"), statement("tone low for a-3")
    assert [line.word_of(cell, full) for cell in line.cells] == [1, 3, 3, 4]
    assert line.word_of("steps", bare) == 3


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "needs a word before its cells"),
        ("{all...}", "needs a word before its cells"),
        ("a {b...} c", "only the last word"),
        ("a x{b...}", "only the last word"),
        ("a {b} {b}", "stands twice"),
        ("a {B}", "a brace too many"),
        ("a {b", "a brace too many"),
        ("a }b{", "a brace too many"),
        ("a {{b}}", "a brace too many"),
        ("a {b}{c}", "where one cell ends"),
    ],
)
def test_what_is_no_line(text: str, what: str) -> None:
    with pytest.raises(ValueError) as refused:  # noqa: PT011  # what it says is the test
        template.line(text)
    assert what in str(refused.value)


@given(
    st.lists(st.sampled_from(["a", "-", ".", "{x%d}", "b"]), max_size=30),
    st.text("ab-.", min_size=1, max_size=3),
)
@often
def test_no_word_takes_long(parts: list[str], unit: str) -> None:
    text = "".join(part % n if "%" in part else part for n, part in enumerate(parts))
    try:
        line = template.line(f"row {text}")
    except ValueError:
        return
    one = statement("row " + unit * 1_300)
    begun = time.process_time()
    line.match(one)
    assert time.process_time() - begun < 0.25


SEGMENT = st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True)


@given(st.lists(st.tuples(SEGMENT, st.booleans()), min_size=1, max_size=6))
@often
def test_a_path_filled_in_matches_its_template(parts: list[tuple[str, bool]]) -> None:
    keys = {f"c{n}": segment for n, (segment, hole) in enumerate(parts) if hole}
    text = ".".join(f"{{c{n}}}" if hole else segment for n, (segment, hole) in enumerate(parts))
    path = template.path(text)
    filled = path.fill(keys)
    assert filled == tuple(segment for segment, _ in parts)
    assert path.match(filled) == keys
    assert path.match((*filled, "x")) is None
    assert path.cells == tuple(keys)


@pytest.mark.parametrize("text", ["", "a..b", "a.", "a b", "a.{B}", "a.x{b}", "{b...}", "a\n", "a.{b}.{b}"])
def test_what_is_no_path(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a path|has a cell twice"):
        template.path(text)


# Operators


@pytest.mark.parametrize(
    ("text", "written", "texts"),
    [
        ("rate.{job}: {baud}", "rate.gnss: 9600", {"job": "gnss", "baud": "9600"}),
        ("rate.{job}={baud}", "rate.gnss=9600", {"job": "gnss", "baud": "9600"}),
        ("rate.{job}:= {baud}", "rate.gnss:= 9600", {"job": "gnss", "baud": "9600"}),
        ("rate.{job} ={baud}", "rate.gnss =9600", {"job": "gnss", "baud": "9600"}),
        ("rate.{job}  =  {baud}", "rate.gnss  =  9600", {"job": "gnss", "baud": "9600"}),
        ("put {name}: {a} {rest...}", "put x[2]: 1 2 3", {"name": "x[2]", "a": "1", "rest": "2 3"}),
        ("{name}: a={b}", "x: a=5", {"name": "x", "b": "5"}),
    ],
)
def test_an_operator_is_written_where_the_template_has_it(
    text: str, written: str, texts: dict[str, str]
) -> None:
    line = template.line(text, operators=True)
    assert line.render(texts) == written
    sign = next(word.text for word in line.words if word.text in ("=", ":=", ":"))
    before, after = written.split(sign, 1)
    for gaps in ((" ", " "), ("", " "), ("\t", "  ")):
        one = statement(before.rstrip() + gaps[0] + sign + gaps[1] + after.lstrip())
        assert line.match(one) == texts


def test_a_number_before_an_operator_is_no_name() -> None:
    line = template.line("{n}: {a}", operators=True, numbers={"n"})
    assert [word.text for word in line.words] == ["{n}:", "{a}"]
    assert line.match(statement("3: 5")) == {"n": "3", "a": "5"}
