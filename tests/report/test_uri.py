from __future__ import annotations

import os
from urllib.parse import unquote_to_bytes

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.report.sarif.uri import uri_of


@pytest.mark.parametrize(
    ("file", "uri"),
    [
        ("otter/after.txt", "otter/after.txt"),
        ("../otter/after 1.txt", "../otter/after%201.txt"),
        ("/home/x/größe.txt", "file:///home/x/gr%C3%B6%C3%9Fe.txt"),
        ("C:\\dumps\\a b.txt", "file:///C:/dumps/a%20b.txt"),
        ("a:b?c#d.txt", "a%3Ab%3Fc%23d.txt"),
        ("100%.txt", "100%25.txt"),
        (os.fsdecode(b"\xff.txt"), "%FF.txt"),
        ("\ud800.txt", "%ED%A0%80.txt"),
    ],
)
def test_a_file_by_its_uri(file: str, uri: str) -> None:
    assert uri_of(file) == uri


@given(st.text(st.characters(exclude_categories=["Cs"])).filter(lambda name: not name.startswith("/")))
def test_the_name_comes_back(name: str) -> None:
    uri = uri_of(name)
    assert uri.isascii()
    if not uri.startswith("file:"):
        assert unquote_to_bytes(uri).decode("utf-8") == name
