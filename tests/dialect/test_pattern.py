"""Patterns of text: what they take, what is refused, and that none takes long."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.codec.pattern import LONGEST, pattern


@pytest.mark.parametrize(
    ("text", "fits", "fits_not"),
    [
        ("[AETR]{4}", ["AETR", "TAER"], ["AET", "AETRA", ""]),
        ("-|[12]/[0-7]", ["-", "1/7"], ["3/1", "1/8", "--"]),
        ('[^"]{0,24}', ["", "a b", "x" * 24], ['"', "x" * 25]),
        ("[0-9a-f-]{1,23}", ["0-0-0"], ["", "g"]),
        (r"\d+\.\d{2}", ["3.50", "12.00"], ["3.5", ".50"]),
        ("v?[0-9]+(?)"[:-3], ["v1", "1"], ["vv1", "x"]),
        ("a|ab|abc", ["a", "ab", "abc"], ["abcd", ""]),
        (r"\(x\)\|", ["(x)|"], ["x"]),
        (".{3}", ["abc", "µ#ü"], ["ab"]),
        (r"[\]\[-]", ["]", "[", "-"], ["\\"]),
        ("|a", ["", "a"], ["aa"]),
    ],
)  # fmt: skip
def test_what_a_pattern_fits(text: str, fits: list[str], fits_not: list[str]) -> None:
    one = pattern(text)
    assert one.text == text
    assert [word for word in fits if not one.fits(word)] == []
    assert [word for word in fits_not if one.fits(word)] == []


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("(a+)+", "cannot be in a pattern"),
        ("a**", "cannot be in a pattern"),
        ("a*?", "cannot be in a pattern"),
        ("a{2}{3}", "cannot be in a pattern"),
        ("a{1,99999}", "cannot be in a pattern"),
        ("^a$", "cannot be in a pattern"),
        ("(?i)a", "cannot be in a pattern"),
        (r"\b", "cannot be in a pattern"),
        (r"(a)\1", "cannot be in a pattern"),
        ("[", "cannot be in a pattern"),
        ("[]", "cannot be in a pattern"),
        ("\\", "cannot be in a pattern"),
        ("a{3,1}", "does not compile"),
        ("[z-a]", "does not compile"),
        (r"[\d-z]", "does not compile"),
        ("[a--b]", "a sign twice"),
        ("[a&&b]", "a sign twice"),
        ("[a-z]*z", "[a-z]* and z both fit 'z'"),
        (".*x", ".* and x both fit 'x'"),
        ("[0-9]+a?[0-9]", "both fit '0'"),
        ("a?a", "both fit 'a'"),
        ("a" * (LONGEST + 1), "at most 200 characters"),
    ],
)
def test_what_is_no_pattern(text: str, what: str) -> None:
    with pytest.raises(ValueError) as refused:  # noqa: PT011  # what it says is the test
        pattern(text)
    assert what in str(refused.value)


PARTS = st.sampled_from(["a", "b", "0", "-", ".", "[ab]", "[^a]", "[0-9]", r"\d", "\\", "(", ")", "|"]) | (
    st.sampled_from(["?", "*", "+", "{2}", "{0,3}"])
)


@given(st.lists(PARTS, max_size=12).map("".join), st.text("ab-01", max_size=8))
@settings(max_examples=150, deadline=None)
def test_what_is_taken_means_what_it_means_elsewhere(text: str, word: str) -> None:
    try:
        one = pattern(text)
    except ValueError:
        return
    assert one.fits(word) == (re.fullmatch(text, word) is not None)


@given(st.lists(PARTS, max_size=60).map("".join), st.text("ab-01", min_size=1, max_size=4))
@settings(max_examples=60, deadline=None)
def test_no_pattern_takes_long(text: str, word: str) -> None:
    try:
        one = pattern(text)
    except ValueError:
        return
    begun = time.process_time()
    one.fits(word * 1_000)
    one.fits(word * 1_000 + "x")
    assert time.process_time() - begun < 0.25
