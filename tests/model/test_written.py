"""Data in one line of YAML reads back as the same data, and looks as a person would write it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.model.placed import read_yaml
from cfgaudit.model.value import Json
from cfgaudit.model.written import key, written

# What no file of this program may hold, written out or not, is refused where it is read.
READABLE = st.characters(
    exclude_categories=["Cc", "Cs"], exclude_characters="\ufffe\uffff"
) | st.sampled_from("\t\n\r\x85")
TEXTS = st.text(READABLE, max_size=12) | st.text(
    "0123456789.eExo+-_ :#'\"{}[],&*!|>%@`yntrueflsN~", max_size=9
)
VALUES: Any = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**60), 2**60)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
)


def back(line: str) -> object:
    data = read_yaml(line, "line.yaml").data
    assert isinstance(data, dict)
    return data


@settings(max_examples=400, deadline=None)
@given(value=VALUES)
def test_it_reads_back(value: Json) -> None:
    assert back(f"a: {written(value)}\n") == {"a": value}


@settings(max_examples=300, deadline=None)
@given(name=TEXTS)
def test_a_key_reads_back(name: str) -> None:
    assert back(f"{key(name)}: 1\n") == {name: 1}


@pytest.mark.parametrize(
    ("value", "line"),
    [
        ("otter", "otter"),
        ("plover >= 4.1", "plover >= 4.1"),
        (">= 4.1", '">= 4.1"'),
        ("53x20", "53x20"),
        ("3.3V", "3.3V"),
        ("rear right", "rear right"),
        ("yes", "yes"),
        ("true", '"true"'),
        ("12", '"12"'),
        ("1e3", '"1e3"'),
        ("a: b", '"a: b"'),
        ("#1", '"#1"'),
        ("", '""'),
        ({"tx": "PA0", "rx": "PA1"}, "{tx: PA0, rx: PA1}"),
        ([3, 6.5], "[3, 6.5]"),
        (True, "true"),
    ],
)
def test_it_looks_as_written_by_hand(value: Json, line: str) -> None:
    assert written(value) == line
