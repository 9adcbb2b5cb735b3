"""What each line is, which words it has, and where they stand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from cfgaudit.dump.read import BLOCK, LONGEST, lines
from cfgaudit.dump.statement import Kind, Statement
from tests.dump import texts


def only(text: str, family: str = "console") -> Statement:
    (one,) = texts.statements(text, family).statements
    return one


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("", None, ()),
        ("\n", Kind.BLANK, ()),
        (" \t \n", Kind.BLANK, ()),
        ("# said\n", Kind.REMARK, ()),
        ("  ~plover 4.1\n", Kind.REMARK, ()),
        ("; [a] b = c\n", Kind.REMARK, ()),
        ("keep\n", Kind.ROW, ("keep",)),
        ("  link u4  does\t0x80\n", Kind.ROW, ("link", "u4", "does", "0x80")),
        ('note "a b # c" d\n', Kind.ROW, ("note", '"a b # c"', "d")),
        ('say "a \\" b"\n', Kind.ROW, ("say", '"a \\" b"')),
        ("row a # later\n", Kind.ROW, ("row", "a")),
        ("row #ff0000 a;b\n", Kind.ROW, ("row", "#ff0000", "a;b")),
        ("row a ~\n", Kind.ROW, ("row", "a")),
        ("volts.warn := 350\n", Kind.ASSIGNMENT, ("volts.warn", ":=", "350")),
        ("volts.warn:=350\n", Kind.ASSIGNMENT, ("volts.warn", ":=", "350")),
        ("volts.warn =\n", Kind.ASSIGNMENT, ("volts.warn", "=")),
        ("set pins[3] = B6 # x\n", Kind.ASSIGNMENT, ("set", "pins[3]", "=", "B6")),
        ("a = b = c\n", Kind.ASSIGNMENT, ("a", "=", "b", "=", "c")),
        ('a := "b c" d\n', Kind.ASSIGNMENT, ("a", ":=", '"b c"', "d")),
        ("a: b\n", Kind.ASSIGNMENT, ("a", ":", "b")),
        ("12:30 a:b a==b\n", Kind.ROW, ("12:30", "a:b", "a==b")),
        ("\xb5 a\n", Kind.STRAY, ("\xb5 a",)),
        ("  (a) b \n", Kind.STRAY, ("(a) b ",)),
        ('row "a\n', Kind.STRAY, ('row "a',)),
        ('row "a"b c\n', Kind.STRAY, ('row "a"b c',)),
        ('x := "a\n', Kind.STRAY, ('x := "a',)),
        ("[a]\n", Kind.STRAY, ("[a]",)),
    ],
)  # fmt: skip
def test_console(text: str, kind: Kind | None, words: tuple[str, ...]) -> None:
    found = texts.statements(text).statements
    assert [(one.kind, one.words) for one in found] == ([(kind, words)] if kind else [])


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("[link A]\n", Kind.SECTION, ("link", "A")),
        ("  [ link\tA ]  # x\n", Kind.SECTION, ("link", "A")),
        ("[a]b\n", Kind.STRAY, ("[a]b",)),
        ("[]\n", Kind.STRAY, ("[]",)),
        ("[ ]\n", Kind.STRAY, ("[ ]",)),
        ("[a\n", Kind.STRAY, ("[a",)),
        ("jobs = a b ; c\n", Kind.ASSIGNMENT, ("jobs", "=", "a", "b")),
        ("jobs=a\n", Kind.ASSIGNMENT, ("jobs", "=", "a")),
        ('craft = "a b"\n', Kind.ASSIGNMENT, ("craft", "=", '"a b"')),
        ("jobs receiver\n", Kind.STRAY, ("jobs receiver",)),
        ("; jobs\n", Kind.REMARK, ()),
    ],
)
def test_sectioned(text: str, kind: Kind, words: tuple[str, ...]) -> None:
    one = only(text, "sectioned")
    assert (one.kind, one.words) == (kind, words)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("LINK2_WORK,23\n", Kind.ROW, ("LINK2_WORK", "23")),
        ("LINK2_WORK\t23\n", Kind.ROW, ("LINK2_WORK", "23")),
        ("  LINK2_WORK   23 5 # later\n", Kind.ROW, ("LINK2_WORK", "23", "5")),
        ("A , 5 ,little vole # later\n", Kind.ROW, ("A", "5", "little vole")),
        ('A,"a, b",5\n', Kind.ROW, ("A", '"a, b"', "5")),
        ('A, "a \\" b" ; later\n', Kind.ROW, ("A", '"a \\" b"')),
        ('A "a b" 5,3\n', Kind.ROW, ("A", '"a b"', "5,3")),
        ("A,#ff0000,a;b\n", Kind.ROW, ("A", "#ff0000", "a;b")),
        ("A, # later\n", Kind.ROW, ("A",)),
        ("A,# b\n", Kind.ROW, ("A", "# b")),
        ("A,5,, # later\n", Kind.ROW, ("A", "5")),
        ("A,\n", Kind.ROW, ("A",)),
        ("A\n", Kind.ROW, ("A",)),
        ("A,b = c\n", Kind.ROW, ("A", "b = c")),
        ("A,,B\n", Kind.STRAY, ("A,,B",)),
        ("A 5 ,3\n", Kind.STRAY, ("A 5 ,3",)),
        ('A,"x" y\n', Kind.STRAY, ('A,"x" y',)),
        ('A,"x\n', Kind.STRAY, ('A,"x',)),
        ('A,b "c"\n', Kind.STRAY, ('A,b "c"',)),
        (" ,5\n", Kind.STRAY, (",5",)),
        ("[a]\n", Kind.STRAY, ("[a]",)),
        ("# A,5\n", Kind.REMARK, ()),
        (" \t\n", Kind.BLANK, ()),
    ],
)
def test_columns(text: str, kind: Kind, words: tuple[str, ...]) -> None:
    one = only(text, "columns")
    assert (one.kind, one.words) == (kind, words)
    assert all(one.text[one.place_of(n).column - 1 :].startswith(word) for n, word in enumerate(words))


def test_a_section_lasts_until_the_next_one() -> None:
    """The section line itself stands in none."""
    text = "a = 1\n[x 1]\nb = 2\n\n# no\n[y]\nc = 3\n(\n"
    found = [(one.kind.value, one.section) for one in texts.statements(text, "sectioned").statements]
    assert found == [
        ("assignment", ""),
        ("section", ""),
        ("assignment", "x 1"),
        ("blank", "x 1"),
        ("remark", "x 1"),
        ("section", ""),
        ("assignment", "y"),
        ("stray", "y"),
    ]


def test_a_section_lasts_over_the_end_of_a_block() -> None:
    text = "[x]\n" + "a = 1\n" * (2 * BLOCK)
    assert {one.section for one in texts.statements(text, "sectioned").statements[1:]} == {"x"}


@pytest.mark.parametrize("family", texts.FAMILIES)
def test_a_stray_line_has_its_place(family: str) -> None:
    dump = texts.statements("a = 1\n\n\t (b)\nc = 2\n", family)
    (stray,) = [one for one in dump.statements if one.kind is Kind.STRAY]
    assert (str(stray.place), stray.words, stray.shown) == ("dump.txt:3:3", ("(b)",), "(b)")


def test_words_have_their_places() -> None:
    one = only('  link u4  does "a b"\n')
    assert [one.place_of(n).column for n in range(4)] == [3, 8, 12, 17]
    assert one.place_of(4).column == 1


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_each_line_end_counts_once(end: str) -> None:
    dump = texts.statements(f"row a{end}{end}row b{end}row c")
    assert [(one.line, one.words) for one in dump.statements] == [
        (1, ("row", "a")),
        (2, ()),
        (3, ("row", "b")),
        (4, ("row", "c")),
    ]


def test_only_line_ends_end_a_line() -> None:
    text = "row a\x0bb\x0cc\x1cd\x85e\u2028f\u2029g\nrow"
    assert [one.line for one in texts.statements(text).statements] == [1, 2]


@given(texts.NOISE)
@settings(max_examples=80, deadline=None)
def test_lines_are_counted_as_an_editor_does(text: str) -> None:
    ends = text.replace("\r\n", "\n").replace("\r", "\n")
    assert len(lines(text)) == ends.count("\n") + (not ends.endswith("\n") and ends != "")
    assert lines(text, 2) == lines(text)[:2]


@pytest.mark.parametrize("family", texts.FAMILIES)
def test_a_line_that_is_too_long_is_astray(family: str) -> None:
    long = "x = " + "y" * LONGEST
    plain = "row" if family == "columns" else "assignment"
    dump = texts.statements(f"a = 1\n  {long}\nb = 2\n", family)
    assert [one.kind.value for one in dump.statements] == [plain, "stray", plain]
    assert dump.statements[1].words == (long,)
    assert dump.statements[1].place.column == 3
    assert dump.settings == 3


@pytest.mark.parametrize("family", texts.FAMILIES)
def test_a_long_line_of_blanks_is_blank(family: str) -> None:
    dump = texts.statements(" " * 5_000 + "\n" + "\t" * 5_000, family)
    assert [(one.kind, one.words) for one in dump.statements] == [(Kind.BLANK, ())] * 2


def test_what_counts_as_a_setting() -> None:
    dump = texts.statements("# a\n\n[x]\nb = 1\n(c\n", "sectioned")
    assert dump.settings == 2
