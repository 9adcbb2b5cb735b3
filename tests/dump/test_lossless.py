"""What was read can be printed back, byte for byte, and every mark on it stands where it says."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lark import Token

from cfgaudit.dump.grammar import FAMILIES, parser
from cfgaudit.dump.read import BLOCK, lines
from cfgaudit.dump.statement import Kind
from cfgaudit.dump.text import MARK, decode
from cfgaudit.model.refusal import Refusal
from tests.dump import texts

families = pytest.mark.parametrize("family", FAMILIES)
often = settings(max_examples=25, deadline=None)


def test_the_families_of_the_tests_are_those_of_the_program() -> None:
    assert texts.FAMILIES == FAMILIES


@families
@given(texts.ANYTHING)
@often
def test_statements_join_to_the_text(family: str, text: str) -> None:
    dump = texts.statements(text, family)
    assert dump.text == text
    assert [one.text for one in dump.statements] == lines(text)
    assert [one.line for one in dump.statements] == list(range(1, len(dump.statements) + 1))


@families
@given(texts.ANYTHING)
@often
def test_the_grammar_takes_any_text_and_its_tokens_join_to_it(family: str, text: str) -> None:
    tree = parser(family).parse(text)  # an exception here would send every line through a parse of its own
    assert "".join(tree.scan_values(lambda one: isinstance(one, Token))) == text


@families
@given(texts.ANYTHING)
@often
def test_spans_mark_words_inside_the_line(family: str, text: str) -> None:
    for one in texts.statements(text, family).statements:
        body = one.text.rstrip("\r\n")
        assert len(one.spans) % 2 == 0
        assert list(one.spans) == sorted(one.spans)
        assert not one.spans or one.spans[-1] <= len(body)
        assert all(one.words)
        if one.kind in (Kind.BLANK, Kind.REMARK):
            assert not one.words
        else:
            assert one.words
            assert one.place.column == one.spans[0] + 1


@families
@given(texts.ANYTHING, texts.ANYTHING)
@often
def test_a_line_is_read_the_same_wherever_it_stands(family: str, text: str, before: str) -> None:
    """No line is read otherwise because of those above it, except for the section it stands in."""
    alone = [(one.kind, one.words) for one in texts.statements(text, family).statements]
    below = texts.statements(before + "\n" + text, family).statements
    assert [(one.kind, one.words) for one in below[len(below) - len(alone) :]] == alone


def test_blocks_of_lines_are_joined_seamlessly() -> None:
    text = "".join(f"row {n} x\r\n" if n % 3 else f"[part {n}]\n" for n in range(2 * BLOCK + 7))
    for family in FAMILIES:
        dump = texts.statements(text, family)
        assert dump.text == text
        assert dump.statements[-1].line == 2 * BLOCK + 7


@given(st.text(max_size=80), st.booleans())
@often
def test_utf_8_turns_back_into_its_bytes(text: str, mark: bool) -> None:
    data = (MARK if mark else b"") + text.encode("utf-8", "surrogatepass").replace(b"\xed", b"x")
    try:
        decoded = decode(data, "dump.txt")
    except Refusal:
        assert data[:2] in (b"\xff\xfe", b"\xfe\xff")
    else:
        assert decoded.encoded() == data


@given(st.binary(max_size=80))
@often
def test_any_bytes_turn_back_into_themselves(data: bytes) -> None:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return
    assert decode(data, "dump.txt").encoded() == data


def test_a_mark_is_no_part_of_the_text() -> None:
    decoded = decode(MARK + "link µ".encode(), "dump.txt")
    assert (decoded.text, decoded.encoding, decoded.mark, decoded.notes) == ("link µ", "utf-8", True, ())


def test_what_is_not_utf_8_is_read_as_latin_1_and_said() -> None:
    decoded = decode("row a\nrow \xb5s\n".encode("latin-1"), "dump.txt")
    assert (decoded.text, decoded.encoding) == ("row a\nrow µs\n", "latin-1")
    assert decoded.notes == ("not UTF-8 (first at line 2): read as Latin-1, so accents may be wrong",)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be"])
def test_utf_16_is_refused(encoding: str) -> None:
    data = "\ufeffrow a\n".encode(encoding) if encoding == "utf-16-be" else "row a\n".encode(encoding)
    with pytest.raises(Refusal, match="UTF-16"):
        decode(data, "dump.txt")


def test_what_is_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cfgaudit.dump.text.LARGEST", 10)
    with pytest.raises(Refusal, match="larger than"):
        decode(b"x" * 11, "dump.txt")
