"""The way back from a character of a text to where it stands in the file."""

from __future__ import annotations

import json

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.model.inside import inside
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, read_yaml

HERE = "▸"  # stands in these texts before the character that is looked for


def character(placed: Placed, place: Place) -> str:
    return placed.text[placed.offset(place)]


def text_of(placed: Placed, key: str = "a") -> str:
    data = placed.data
    assert isinstance(data, dict)
    text = data[key]
    assert isinstance(text, str)
    return text


@pytest.mark.parametrize(
    ("written", "looked_for"),
    [
        (f"a: one two {HERE}three", "three"),
        (f"a: one\n  two\n\n  {HERE}three", "three"),
        (f"a: 'it''s {HERE}three'", "three"),
        (f"a: 'it''s\n\n  {HERE}three'", "three"),
        (f'a: "it\\"s \\x41\\n\\u2028\\_ {HERE}three"', "three"),
        (f'a: "one \\\n   two\\n\\\n  {HERE}three"', "three"),
        (f"a: >-  # a remark\n  one\n  two\n   {HERE}three\n", "three"),
        (f"a: |2+\n\n    one\n   two\n  {HERE}three\n\n", "three"),
        (f"a: >-\r\n  one\r\n  two {HERE}three\r\n", "three"),
        (f"a: !!str one {HERE}three", "three"),
        (f"a: &x !!str\n  >\n  one\n  {HERE}three", "three"),
        (f"a: 'é𝄞 {HERE}three'", "three"),
        (f"b: x\na: [one]\nc: {HERE}three", ""),
    ],
)
def test_each_way_of_writing(written: str, looked_for: str) -> None:
    key = "a" if looked_for else "c"
    placed = read_yaml(written.replace(HERE, ""), "f.yaml")
    text = text_of(placed, key)
    at = inside(placed, placed.place((key,)), text, text.index(looked_for))
    assert at == placed.at(written.index(HERE))


def test_a_blank_has_the_place_of_what_comes_next() -> None:
    placed = read_yaml("a: one   two\n", "f.yaml")
    assert inside(placed, placed.place(("a",)), "one two", 3) == Place("f.yaml", 1, 10)


@pytest.mark.parametrize("written", ["a: one\nb: two\n", "a: 'one'\nb: two\n", "a: >-\n    one\nb: two\n"])
def test_the_end_is_just_behind_the_text(written: str) -> None:
    placed = read_yaml(written, "f.yaml")
    assert inside(placed, placed.place(("a",)), "one", 3) == placed.at(written.index("one") + 3)


def test_a_text_without_characters_and_one_that_is_referred_to() -> None:
    placed = read_yaml("a: ''\nb: &x text\nc: *x\n", "f.yaml")
    assert inside(placed, placed.place(("a",)), "", 0) == Place("f.yaml", 1, 4)
    assert inside(placed, placed.place(("c",)), "text", 2) == Place("f.yaml", 3, 4)


def test_blanks_that_were_changed_do_not_matter() -> None:
    placed = read_yaml("a: |\n  one\n\n  two   three\n", "f.yaml")
    folded = " ".join(text_of(placed).split())
    assert inside(placed, placed.place(("a",)), folded, folded.index("three")) == Place("f.yaml", 4, 9)


TEXTS = st.text(st.sampled_from("ab'\"\\#:&*!|>% \n\té𝄞\u2028"), min_size=1, max_size=30)


@given(TEXTS, st.sampled_from(["'", '"', "|", ">"]), st.integers(5, 40))
def test_every_character_is_found_again(text: str, style: str, width: int) -> None:
    written = yaml.safe_dump({"a": text}, default_style=style, width=width, allow_unicode=True)
    placed = read_yaml(written, "f.yaml")
    read = text_of(placed)
    for offset, one in enumerate(read):
        if not one.isspace():
            found = character(placed, inside(placed, placed.place(("a",)), read, offset))
            assert found == one or found == "\\", (written, offset)


@given(TEXTS.filter(lambda text: "𝄞" not in text))  # JSON escapes it as two halves, YAML as one
def test_json_is_yaml_as_well(text: str) -> None:
    placed = read_yaml(json.dumps({"a": text}), "f.yaml")
    for offset, one in enumerate(text):
        if not one.isspace():
            found = character(placed, inside(placed, placed.place(("a",)), text, offset))
            assert found == one or found == "\\"
