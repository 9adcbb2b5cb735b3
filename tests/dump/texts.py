"""Texts that dumps are made of, and texts that no dump should be."""

from __future__ import annotations

from hypothesis import strategies as st

from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text

FAMILIES = ("console", "sectioned", "columns")

ENDS = st.sampled_from(["\n", "\r\n", "\r"])
BLANKS = st.sampled_from([" ", "  ", "\t", " \t "])
WORD = st.text("abcXYZ019._-@$!*+/", min_size=1, max_size=8)
NAME = st.from_regex(r"[A-Za-z_][A-Za-z0-9_.-]{0,8}(\[[0-9a-z]{0,2}\])?", fullmatch=True)
QUOTED = st.text("ab \t#~;=[]'é", max_size=8).map(lambda inner: f'"{inner}"')
VALUE = WORD | QUOTED | st.sampled_from(["-5", "0x1F", "#ff0000", "a=b", "(x)", "µs"])
REMARK = st.tuples(st.sampled_from("#~;"), st.text('ab 1=["#', max_size=12)).map("".join)
TRAILER = st.just("") | st.tuples(BLANKS, st.sampled_from(["#", "~ later", "; (x)"])).map("".join)
INDENT = st.just("") | BLANKS


@st.composite
def rows(draw: st.DrawFn) -> str:
    """A row: a keyword and cells."""
    cells = draw(st.lists(st.tuples(BLANKS, VALUE).map("".join), max_size=4))
    return draw(INDENT) + draw(WORD) + "".join(cells) + draw(TRAILER)


@st.composite
def assignments(draw: st.DrawFn) -> str:
    """An assignment, with or without blanks around its operator."""
    value = draw(BLANKS).join(draw(st.lists(VALUE, max_size=3)))
    operator = draw(st.just("") | BLANKS) + draw(st.sampled_from(["=", ":="])) + draw(st.just("") | BLANKS)
    return draw(INDENT) + draw(NAME) + operator + value + draw(TRAILER)


@st.composite
def columns(draw: st.DrawFn) -> str:
    """A name and its columns, between commas or blanks, some of them empty."""
    comma = st.tuples(st.just("") | BLANKS, st.just(","), st.just("") | BLANKS).map("".join)
    separators = comma if draw(st.booleans()) else BLANKS | st.just(",")
    cells = draw(st.lists(st.tuples(separators, VALUE | st.just("") | st.just("two words")), max_size=4))
    return draw(INDENT) + draw(WORD) + "".join(map("".join, cells)) + draw(TRAILER)


SECTIONS = st.tuples(INDENT, st.text("abc 19-", min_size=1, max_size=8), TRAILER).map(
    lambda parts: f"{parts[0]}[x{parts[1]}]{parts[2]}"
)
LINES = rows() | assignments() | columns() | SECTIONS | REMARK | INDENT


@st.composite
def dumps(draw: st.DrawFn) -> str:
    """Lines as a firmware writes them, the last perhaps cut off."""
    text = "".join(line + draw(ENDS) for line in draw(st.lists(LINES, max_size=12)))
    return text + draw(st.just("") | LINES)


@st.composite
def mutilated(draw: st.DrawFn) -> str:
    """A dump after a bad connection: pieces cut out, doubled, or replaced."""
    text = draw(dumps())
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = draw(st.integers(start, min(len(text), start + 6)))
        piece = draw(st.text('"\\[]=:,#~; \t\r\n\x00\x1b\u2028é', max_size=4) | st.just(text[start:end] * 2))
        text = text[:start] + piece + text[end:]
    return text


NOISE = st.text(' \t\r\n"\\=:,#~;[]ab1._-(\x00\x0b\x85\u2028é', max_size=60)
ANYTHING = dumps() | mutilated() | NOISE | st.text(max_size=60)


def statements(text: str, family: str = "console") -> Dump:
    """The text, read."""
    return read_statements(Text("dump.txt", text, "utf-8", mark=False), family)
