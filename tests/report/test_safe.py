from __future__ import annotations

import sys

import pytest

from cfgaudit.report.safe import safe, safe_tree


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("link u6 does 0x90", "link u6 does 0x90"),
        ("3.50 → 3.60 V · ok…", "3.50 → 3.60 V · ok…"),
        ("\x1b[31mred", "\\x1b[31mred"),
        ("\x1b]0;title\x07", "\\x1b]0;title\\x07"),
        ("\x9b31m", "\\x9b31m"),
        ("over\rwritten", "over\\rwritten"),
        ("two\nlines\tand a tab", "two\\nlines\\tand a tab"),
        ("\u202egnihtemos", "\\u202egnihtemos"),
        ("\u2066isolated\u2069", "\\u2066isolated\\u2069"),
        ("\u2028\ufeff\xa0\x7f\0", "\\u2028\\ufeff\\xa0\\x7f\\x00"),
        ("\ud800", "\\ud800"),
        ("\U000e0041", "\\U000e0041"),
        ("a \\ stays", "a \\ stays"),
        ("", ""),
    ],
)
def test_what_cannot_be_seen_is_written_out(text: str, shown: str) -> None:
    assert safe(text) == shown
    assert safe(shown) == shown


@pytest.mark.parametrize(
    "planes", [range(0x20000), range(0xE0000, 0xE0200), range(sys.maxunicode - 1, sys.maxunicode + 1)]
)
def test_every_character_of_the_planes_in_use(planes: range) -> None:
    assert safe("".join(map(chr, planes))).isprintable()


def test_trees_are_safe_to_their_keys() -> None:
    assert safe_tree({"\x1b": ["\r", {"a": "\u202e"}, 1, 2.5, True, None]}) == {
        "\\x1b": ["\\r", {"a": "\\u202e"}, 1, 2.5, True, None]
    }
