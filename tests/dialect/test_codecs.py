"""Every codec, in both directions."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.cell import cell
from cfgaudit.dialect.codec.bits import Bits, nameless
from cfgaudit.dialect.codec.codec import Codec, Misfit, Range
from cfgaudit.dialect.codec.number import Integer, Scaled
from cfgaudit.dialect.codec.pin import Pin
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Flag, Free, Words

often = settings(max_examples=20, deadline=None)

TEXTS = st.text(st.characters(exclude_categories=["C", "Z"]) | st.just(" "), max_size=12)
PINS = st.builds(lambda port, number: f"P{port}{number}", st.sampled_from("ABCDEFGHIJK"), st.integers(0, 15))
ANYTHING = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=6)
    | st.tuples(st.text(max_size=4))
    | st.dictionaries(st.sampled_from(["column", "row"]), st.integers(-5, 70), max_size=2)
)


def codec(spec: Any) -> Codec:
    return cell(spec).codec


CODECS = {
    "integer": codec("integer"),
    "integer with offset": codec({"integer": {"offset": 5}}),
    "integer in hexadecimal": codec({"integer": {"base": 16}}),
    "decimal written whole": codec({"decimal": 0.01}),
    "decimal written with places": codec({"decimal": {"by": 1, "places": 2}}),
    "decimal in other units": codec({"decimal": {"by": 1000, "places": 1}}),
    "words": codec(
        {"words": {"camera": "chip", "serial": "displayport", "one": 1, "half": 0.5, "yes": True}}
    ),
    "bits": codec({"bits": {"0": "receiver", "3": "gnss"}}),
    "bits in hexadecimal": codec({"bits": {"0": "receiver", "3": "gnss"}, "written": "hex"}),
    "list": codec("list"),
    "list with commas": codec({"list": {"of": {"integer": None}, "separated": ",", "empty": "none"}}),
    "packed": codec({"packed": {"column": {"bits": "0-3,8-9"}, "row": {"bits": "4-7"}}}),
    "flag": codec("flag"),
    "flag the other way round": codec({"flag": {"on": ["no", "n"], "off": ["yes", "y"]}}),
    "pin": codec("pin"),
    "pin with two digits": codec({"pin": "P{port}{number:02}", "none": ["-", "unwired"]}),
    "text": codec("text"),
    "text in quotes": codec({"text": None, "quoted": True}),
    "text with a pattern": codec({"text": "[a-z]{1,6}|-"}),
}
every_codec = pytest.mark.parametrize("one", CODECS.values(), ids=CODECS)


def tried(what: Callable[..., Any], given: Any) -> Any:
    """What comes of it, or the misfit."""
    try:
        return what(given)
    except Misfit as misfit:
        return misfit


@every_codec
@given(st.text('0123456789-+.xXaBfnoneys, "\\PB_é#', max_size=12) | st.text(max_size=6))
@often
def test_a_text_is_read_or_is_a_misfit_and_what_is_read_can_be_written(one: Codec, text: str) -> None:
    value = tried(one.read, text)
    written = tried(one.write, value)
    if isinstance(value, Misfit):
        assert value.why
        assert value.kind in ("word", "form")
    elif not isinstance(written, Misfit):  # such as 3.505 where 0.01 is a step
        assert one.read(written) == value


@every_codec
@given(ANYTHING)
@often
def test_a_value_is_written_or_is_a_misfit_and_what_is_written_reads_back(one: Codec, value: Any) -> None:
    text = tried(one.write, value)
    if isinstance(text, Misfit):
        assert text.why
    else:
        assert one.write(one.read(text)) == text


@every_codec
@given(st.text(max_size=8))
@often
def test_a_path_segment_stands_for_a_value_or_is_a_misfit(one: Codec, key: str) -> None:
    assert isinstance(tried(one.parse, key), bool | int | float | str | Misfit)


@given(st.integers(-(10**17), 10**17), st.integers(-1000, 1000))
@often
def test_integer(value: int, offset: int) -> None:
    one = Integer(offset)
    assert one.read(one.write(value)) == value
    assert one.write(one.parse(str(value))) == one.write(value)


@given(st.integers(0, 2**59), st.integers(0, 1000))
@often
def test_integer_in_hexadecimal(value: int, offset: int) -> None:
    one = Integer(-offset, 16)
    assert one.read(one.write(value)) == value
    assert one.read(one.write(value).lower()) == value
    assert one.parse(str(value)) == value  # a path says it in decimal


@pytest.mark.parametrize(
    ("one", "text", "why"),
    [
        (Integer(), "3.0", "whole number"),
        (Integer(), "", "whole number"),
        (Integer(), "٣", "whole number"),
        (Integer(), "1_000", "whole number"),
        (Integer(), "1" * 19, "whole number"),
        (Integer(0, 16), "31", "hexadecimal"),
        (Integer(0, 16), "0x", "hexadecimal"),
        (Scaled(Decimal("0.01")), "3.5", "whole number"),
        (Scaled(Decimal(1), 2), "3,5", "not a number"),
        (Scaled(Decimal(1), 2), "1e3", "not a number"),
        (Words({"a": 1}), "A", "not one of a"),
        (Flag(), "yes", "not one of on, off"),
        (Bits({0: "gnss"}), "-1", "negative"),
        (Pin(), "B16", "not a pin such as PB6"),
        (Pin(), "L1", "not a pin"),
        (Pin("{port}{number}"), "none?", "not a pin such as B6"),
        (codec({"packed": {"row": {"bits": "0-1"}}}), "4", "bits that the dialect does not know"),
        (codec({"text": "[a-z]+"}), "A", r"does not look like \[a-z\]\+"),
    ],
)  # fmt: skip
def test_what_a_codec_cannot_read(one: Codec, text: str, why: str) -> None:
    with pytest.raises(Misfit, match=why):
        one.read(text)


@pytest.mark.parametrize(
    ("one", "value", "why"),
    [
        (Integer(), 1.5, "not a whole number"),
        (Integer(), True, "not a number"),
        (Integer(), float("inf"), "not a number"),
        (Integer(), float("nan"), "not a number"),
        (Integer(), 10**19, "too large"),
        (Integer(0, 16), -1, "negative"),
        (Scaled(Decimal("0.01")), 3.505, "finer than the steps of 0.01"),
        (Scaled(Decimal(1), 2), 3.505, "finer than the steps of 0.01"),
        (Scaled(Decimal("0.01")), 1e300, "too large"),
        (Scaled(Decimal("0.01")), "3", "not a number"),
        (Words({"a": 1}), True, "no word"),
        (Words({"a": True}), 1, "no word"),
        (Words({"a": "x", "b": "y"}), "z", "the firmware knows x and y"),
        (Flag(), 1, "neither yes nor no"),
        (Bits({0: "gnss"}), ("receiver",), "no bit"),
        (Bits({0: "gnss"}), ("bit0",), "no bit"),
        (Bits({0: "gnss"}), ("bit60",), "no bit"),
        (Bits({0: "gnss"}), ("bit²",), "no bit"),
        (Bits({0: "gnss"}), "gnss", "not a list"),
        (Series(Free()), "gnss", "not a list"),
        (Series(Free(), ","), ("a,b",), "another list"),
        (Series(Free(bare=True)), ("a b",), "another list"),
        (Series(Free(), ",", "none"), ("none",), "another list"),
        (codec({"packed": {"row": {"bits": "0-1"}}}), {"row": 4}, "not fit in 2 bits"),
        (codec({"packed": {"row": {"bits": "0-1"}}}), {}, "lacks row"),
        (codec({"packed": {"row": {"bits": "0-1"}}}), 3, "one value where several"),
        (Pin(), "B6", "not a pin"),
        (Pin(), "PB16", "not a pin"),
        (Free(), 3, "not plain text"),
        (Free(), "a\tb", "not plain text"),
        (Free(), "a\x1b[2J", "not plain text"),
    ],
)  # fmt: skip
def test_what_a_codec_cannot_write(one: Codec, value: Any, why: str) -> None:
    with pytest.raises(Misfit, match=why):
        one.write(value)


@given(st.integers(-(10**9), 10**9), st.sampled_from(["0.01", "0.1", "0.001", "0.5", "1", "10", "0.25"]))
@often
def test_a_scaled_number_has_no_crumbs(written: int, by: str) -> None:
    one = Scaled(Decimal(by))
    value = one.read(str(written))
    assert one.write(value) == str(written)
    assert value == float(Decimal(written) * Decimal(by))


def test_330_hundredths_are_3_3() -> None:
    assert Scaled(Decimal("0.01")).read("330") == 3.3
    assert Scaled(Decimal("0.01")).write(3.3) == "330"
    assert Scaled(Decimal(1), 2).write(3.5) == "3.50"
    assert Scaled(Decimal(1), 2).read("3.5") == 3.5
    assert Scaled(Decimal("0.1")).write(-0.0) == "0"


def test_of_two_words_for_a_value_the_first_is_written() -> None:
    one = Words({"serial": "displayport", "line": "displayport"})
    assert (one.read("line"), one.write("displayport")) == ("displayport", "serial")
    one = Flag(("yes", "y"), ("no", "n"))
    assert (one.read("y"), one.read("n"), one.write(True), one.write(False)) == (True, False, "yes", "no")


@given(st.sets(st.integers(0, 58)))
@often
def test_a_mask_keeps_bits_that_have_no_word(bits: set[int]) -> None:
    one = Bits({2: "receiver", 4: "gnss"}, 16)
    value = one.read(f"0x{sum(1 << bit for bit in bits):X}")
    assert len(value) == len(bits)
    assert sum(nameless(word) for word in value) == len(bits - {2, 4})
    assert one.read(one.write(value)) == value
    assert one.read(one.write(tuple(reversed(value)))) == value  # a mask has no order


@given(st.integers(0, 63), st.integers(0, 15), st.booleans(), st.integers(0, 3))
@often
def test_packed_fields_may_lie_apart(column: int, row: int, shown: bool, page: int) -> None:
    one = codec(
        {
            "packed": {
                "column": {"bits": "0-3,8-9"},
                "row": {"bits": "4-7"},
                "shown": {"bits": 10, "flag": {"on": 0, "off": 1}},
                "page": {"bits": "11-12", "words": {"0": "first", "1": "second", "2": "third", "3": "last"}},
            }
        }
    )
    value = {"column": column, "row": row, "shown": shown, "page": ("first", "second", "third", "last")[page]}
    number = column % 16 | row << 4 | column // 16 << 8 | (not shown) << 10 | page << 11
    assert one.write(value) == str(number)
    assert one.read(str(number)) == value


def test_a_packed_field_may_be_offset_and_scaled() -> None:
    spec = {"packed": {"a": {"bits": "0-3", "integer": {"offset": 1}}, "b": {"bits": "4-7", "decimal": 0.5}}}
    one = codec(spec | {"written": "hex"})
    assert one.read("0x32") == {"a": 3, "b": 1.5}
    assert one.write({"a": 3, "b": 1.5}) == "0x32"


@given(PINS | st.just("none"), st.sampled_from(["{port}{number}", "P{port}{number:02}", "p{port}_{number}"]))
@often
def test_a_pin_is_written_one_way_and_read_in_all(pin: str, written: str) -> None:
    one = Pin(written, ("-", "unwired"))
    assert one.read(one.write(pin)) == pin
    if pin == "none":
        assert (one.write(pin), one.read("unwired")) == ("-", "none")
    else:
        port, number = pin[1], int(pin[2:])
        ways = (f"{port}{number}", f"P{port}{number:02}", f"P{port}_{number}", f"{port.lower()}{number}")
        assert {one.read(way) for way in ways} == {pin}


@given(TEXTS, st.booleans())
@often
def test_text_reads_back_with_and_without_quotes(text: str, quoted: bool) -> None:
    one = Free(None, quoted)
    written = one.write(text)
    assert one.read(written) == text
    if quoted:
        assert written[0] == written[-1] == '"'


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ('"a b"', "a b"),
        ("ab", "ab"),
        ('""', ""),
        ('"a \\" \\\\ b"', 'a " \\ b'),
        ('"a" "b"', '"a" "b"'),
        ('"', '"'),
    ],
)
def test_quotes_are_no_part_of_the_text(written: str, text: str) -> None:
    assert Free().read(written) == text


@given(
    st.lists(st.integers(0, 300), max_size=6), st.sampled_from(["", ",", "/"]), st.sampled_from(["", "none"])
)
@often
def test_a_list_reads_back(numbers: list[int], separator: str, empty: str) -> None:
    one = Series(Integer(), separator, empty)
    assert one.read(one.write(tuple(numbers))) == tuple(numbers)


@given(st.lists(TEXTS, max_size=4), st.sampled_from(["", ","]), st.sampled_from(["", "none"]))
@often
def test_a_list_of_texts_reads_back_or_is_not_written(words: list[str], separator: str, empty: str) -> None:
    one = Series(Free(), separator, empty)
    try:
        written = one.write(tuple(words))
    except Misfit:
        return
    assert one.read(written) == tuple(words)


def test_blanks_in_a_list_are_free() -> None:
    assert Series(Integer(), ",").read("1,2 ,  3") == (1, 2, 3)
    assert Series(Integer()).read("1\t2   3") == (1, 2, 3)


@pytest.mark.parametrize(
    ("spec", "value", "wrong"),
    [
        ({"integer": None, "range": [1, 8]}, 9, "is outside 1 to 8"),
        ({"integer": None, "range": [1, 8]}, 8, ""),
        ({"decimal": 0.01, "range": [3.0, 4.2]}, 2.99, "is outside 3 to 4.2"),
        ({"integer": {"offset": 4}, "range": [5, 16]}, 4, "is outside 5 to 16"),
        ({"list": {"of": {"integer": None, "range": [0, 9]}}}, (1, 10, 11), "holds 10, which is outside"),
        ({"list": {"of": {"integer": None}}, "range": [0, 9]}, (1, 10), "holds 10, which is outside 0 to 9"),
        ({"packed": {"row": {"bits": "0-3", "range": [0, 12]}}}, {"row": 13}, "holds the row 13"),
        ({"packed": {"row": {"bits": "0-3"}, "on": {"bits": 4, "flag": None}}}, {"row": 13, "on": True}, ""),
        ("flag", True, ""),
        ("text", "9", ""),
    ],
)  # fmt: skip
def test_ranges(spec: Any, value: Any, wrong: str) -> None:
    said = cell(spec).outside(value)
    assert said.startswith(wrong) if wrong else not said


def test_a_range_is_in_units_of_the_model() -> None:
    one = cell({"decimal": 0.01, "range": [3.0, 4.2]})
    assert one.range == Range(3.0, 4.2)
    assert not one.outside(one.codec.read("350"))
    assert one.outside(one.codec.read("500"))


@pytest.mark.parametrize(
    ("spec", "what"),
    [
        ({}, "names no codec; give exactly one of integer, decimal"),
        ({"integer": None, "text": None}, "has integer and text"),
        ({"text": None, "range": [1, 2]}, "'range' goes with integer or decimal or list, not with text"),
        ({"integer": None, "written": "hex"}, "'written' goes with bits or packed"),
        ({"integer": None, "none": "-"}, "'none' goes with pin"),
        ({"flag": None, "quoted": True}, "'quoted' goes with text"),
        ({"integer": None, "range": [8, 1]}, "from the lowest to the highest"),
        ({"integer": None, "range": [1, 8], "default": 9}, "the default 9 is outside 1 to 8"),
        ({"integer": None, "default": "9"}, "the default 9 is not a number"),
        ({"decimal": 0.01, "default": 3.505}, "the default 3.505 is finer"),
        ({"words": {"a": "b"}, "default": "a"}, "the default a has no word"),
        ({"text": "[a-z]+", "default": ""}, "does not look like"),
        ({"list": {"of": {"integer": None, "range": [0, 9]}}, "default": [10]}, "the default 10 holds 10"),
        ({"bits": {"0": "gnss", "1": "gnss"}}, "two bits have the same word"),
        ({"bits": {"0": "bit7"}}, "stands for a bit that has none"),
        ({"packed": {"a": {"bits": "0-3"}, "b": {"bits": 3}}}, "share a bit"),
        ({"packed": {"a": {"bits": "3-0"}}}, "are not bits such as"),
        ({"packed": {"a": {"bits": "0-60"}}}, "are not bits such as"),
        ({"packed": {"a": {"bits": "x"}}}, "are not bits such as"),
        ({"packed": {"a": {"bits": "0-1", "words": {"4": "x"}}}}, "'4' is not a number that 2 bits can hold"),
        ({"packed": {"a": {"bits": "0-1", "words": {"x": "x"}}}}, "'x' is not a number"),
        ({"flag": {"on": ["yes", "no"], "off": "no"}}, "'no' cannot mean both yes and no"),
        ({"pin": None, "none": "B6"}, "'B6' is a pin"),
    ],
)  # fmt: skip
def test_a_cell_that_cannot_be(spec: Any, what: str) -> None:
    with pytest.raises(ValueError) as refused:  # noqa: PT011  # what it says is the test
        cell(spec)
    assert what in str(refused.value)


def test_spellings_may_look_like_other_things() -> None:
    one = codec({"flag": {"on": [True, 1], "off": [False, 0]}})
    assert (one.read("true"), one.read("1"), one.read("0"), one.write(False)) == (True, True, False, "false")


@pytest.mark.parametrize(
    ("separator", "text", "parts"),
    [
        (",", 'a, "b, c",d', ("a", "b, c", "d")),
        (",", '"a b"', ("a b",)),
        (",", 'a, "b', ("a", '"b')),
        (",", '"b"c, d,', ('"b"c', "d", "")),
        ("", 'a "b  c" d', ("a", "b  c", "d")),
        ("", 'a "b c', ("a", '"b', "c")),
    ],
)
def test_what_stands_in_quotes_is_one_part_of_a_list(
    separator: str, text: str, parts: tuple[str, ...]
) -> None:
    made = Series(Free(), separator)
    assert made.read(text) == parts


def test_a_list_of_many_quotes_takes_no_longer_than_it_has_signs() -> None:
    for text in ('"' * 40_001, '"a ' * 40_000, '"\\" ' * 40_000, ',"' * 40_000):
        assert Series(Free(), ",").read(text)
        assert Series(Free()).read(text)
