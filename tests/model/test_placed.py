"""YAML with places: every node's position, and a Refusal for all that is not plain JSON."""

from __future__ import annotations

import json
import pathlib
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cfgaudit.model.place import Place
from cfgaudit.model.placed import BYTES_MOST, DEPTH_MOST, NODES_MOST, Placed, Trail, load, read_yaml, shown
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Json

SHEET = """\
craft: otter
board:
  ports:
    UART4: {tx: PA0,  rx: PA1}
devices:
  - receiver:
      port: UART1
  - buzzer
1: one
"""


def refused(text: str | bytes) -> Refusal:
    with pytest.raises(Refusal) as caught:
        read_yaml(text, "build.yaml")
    return caught.value


def at(placed: Placed, *trail: str | int) -> tuple[int, int]:
    place = placed.place(trail)
    return place.line, place.column


def test_data_is_json_with_text_keys() -> None:
    assert read_yaml(SHEET, "build.yaml").data == {
        "craft": "otter",
        "board": {"ports": {"UART4": {"tx": "PA0", "rx": "PA1"}}},
        "devices": [{"receiver": {"port": "UART1"}}, "buzzer"],
        "1": "one",
    }


def test_places_of_values() -> None:
    placed = read_yaml(SHEET, "build.yaml")
    assert placed.place(("craft",)) == Place("build.yaml", 1, 8)
    assert at(placed, "board", "ports", "UART4") == (4, 12)
    assert at(placed, "board", "ports", "UART4", "rx") == (4, 27)
    assert at(placed, "devices", 0, "receiver", "port") == (7, 13)
    assert at(placed, "devices", 1) == (8, 5)
    assert at(placed, "1") == (9, 4)
    assert at(placed) == (1, 1)


def test_places_of_keys() -> None:
    keys = read_yaml(SHEET, "build.yaml").keys
    assert keys[("devices", 0, "receiver")] == Place("build.yaml", 6, 5)
    assert keys[("board", "ports", "UART4", "rx")] == Place("build.yaml", 4, 23)
    assert len(keys) == 10
    assert set(keys) == {
        trail for trail in read_yaml(SHEET, "").places if trail and isinstance(trail[-1], str)
    }


def test_what_is_not_written_is_at_its_nearest_ancestor() -> None:
    placed = read_yaml(SHEET, "build.yaml")
    assert at(placed, "devices", 0, "receiver", "rate_baud") == (7, 7)
    assert at(placed, "nothing", "of", "this") == (1, 1)


def test_a_block_is_called_by_its_key() -> None:
    placed = read_yaml(SHEET, "build.yaml")
    assert placed.named(("devices", 0, "receiver")) == Place("build.yaml", 6, 5)
    assert placed.named(("devices", 0, "receiver", "rate_baud")) == Place("build.yaml", 6, 5)
    assert placed.named(("board",)) == Place("build.yaml", 2, 1)
    assert placed.named(("craft",)) == Place("build.yaml", 1, 8)
    assert placed.named(()) == Place("build.yaml", 1, 1)


def test_lines() -> None:
    placed = read_yaml(SHEET, "build.yaml")
    assert placed.line(placed.place(("devices", 0, "receiver", "port"))) == "port: UART1"
    assert placed.line(Place("build.yaml", 99)) == ""
    assert placed.line(Place("build.yaml", 0)) == ""


def test_lines_are_counted_as_editors_do() -> None:
    text = 'a: 1\r\nb: "x\u2028y\x85z"\rc: {é😀: 1}\n'
    placed = read_yaml("\ufeff" + text, "f")
    assert at(placed, "b") == (2, 4)
    assert at(placed, "c", "é😀") == (3, 9)
    assert placed.line(Place("f", 3)) == "c: {é😀: 1}"
    assert read_yaml(("\ufeff" + text).encode(), "f").places == placed.places


def test_words_stay_what_they_look_like() -> None:
    text = "{a: on, b: NO, c: 12:30, d: 017, e: 0o17, f: 0x1f, g: 1e3, h: ~, i: TRUE, j: 2027-03-01, <<: y}"
    assert read_yaml(text, "f").data == {
        "a": "on",
        "b": "NO",
        "c": "12:30",
        "d": 17,
        "e": 15,
        "f": 31,
        "g": 1000.0,
        "h": None,
        "i": True,
        "j": "2027-03-01",
        "<<": "y",
    }


def test_core_tags() -> None:
    text = "{a: !!str 1, b: ! 1, c: !!float 1, d: !!int '7', e: !!map {}, f: !!seq [], g: !!null ''}"
    assert read_yaml(text, "f").data == {"a": "1", "b": "1", "c": 1.0, "d": 7, "e": {}, "f": [], "g": None}


def test_numbers_as_keys_stay_as_written() -> None:
    assert read_yaml("{1: a, 3.30: b, 0x1: c}", "f").data == {"1": "a", "3.30": "b", "0x1": "c"}


def test_an_alias_has_its_own_place_and_the_places_of_what_it_stands_for() -> None:
    placed = read_yaml("a: &x\n  - b: 1\nc: *x\n", "f")
    assert placed.data == {"a": [{"b": 1}], "c": [{"b": 1}]}
    assert at(placed, "c") == (3, 4)
    assert at(placed, "c", 0, "b") == at(placed, "a", 0, "b") == (2, 8)
    assert placed.keys[("c", 0, "b")] == placed.keys[("a", 0, "b")]
    inner: Json = placed.data
    assert isinstance(inner, dict)
    assert inner["a"] is not inner["c"]


def test_an_alias_may_be_a_key_and_a_name_may_be_given_again() -> None:
    assert read_yaml("[&k a, {*k : 1}, &k b, *k]", "f").data == ["a", {"a": 1}, "b", "b"]


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        ("", (1, 1), "empty"),
        ("# only a remark\n", (1, 1), "empty"),
        ("---\n", (1, 1), "empty"),
        ("~", (1, 1), "empty"),
        ("otter", (1, 1), "single value"),
        ("a: 1\n---\nb: 2\n", (2, 1), "second document"),
        ("{a: 1, b: 2, a: 3}", (1, 14), "'a' is written twice (first on line 1)"),
        ('1: a\n"1": b\n', (2, 1), "'1' is written twice"),
        ("true: 1", (1, 1), "a key is text or a number, not true"),
        ("a:\n  ? [b]\n  : 1\n", (2, 5), "not a list"),
        ("? {a: b}\n: 1\n", (1, 3), "not a mapping"),
        ("? \n: 1\n", (1, 2), "not nothing"),
        ("&x [a]: 1\n*x : 2\n", (1, 1), "not a list"),
        (".nan: 1", (1, 1), "not a finite number"),
        ("a: .inf", (1, 4), "not a finite number"),
        ("a: [-.Inf]", (1, 5), "not a finite number"),
        ("a: 1e999", (1, 4), "not a finite number"),
        ("a: 9223372036854775808", (1, 4), "beyond 64 bits"),
        ("a: -9223372036854775809", (1, 4), "beyond 64 bits"),
        ("a: " + "9" * 5000, (1, 4), "beyond 64 bits"),
        ("a: !!binary aGk=", (1, 4), "the tag"),
        ("a: !mine 1", (1, 4), "the tag '!mine'"),
        ("a: !!set {b}", (1, 4), "the tag"),
        ("a: !e!x 1", (1, 4), "tag"),
        ("a: !!int x", (1, 4), "not what its tag says"),
        ("a: !!bool yes", (1, 4), "not what its tag says"),
        ('a: "b\\0c"', (1, 4), "U+0000"),
        ("a: b\n\x07", (2, 1), "U+0007 is not text"),
        ("a: \ud800", (1, 4), "U+D800 is not text"),
        ('a: "\\uD800"', (1, 7), "not YAML"),
        (b"a: 1\nb: \xff", (2, 4), "not UTF-8"),
        (b"\xef\xbb\xbfa: \xff", (1, 4), "not UTF-8"),
        ("a: 1".encode("utf-16"), (1, 1), "not UTF-8"),
        ("a: *x", (1, 4), "nothing before it is named 'x'"),
        ("a: &x [*x]", (1, 8), "stands inside what it stands for"),
        ("a: &x {b: {c: *x}}", (1, 15), "stands inside what it stands for"),
        ("a: [1", (1, 4), "not YAML"),
        ('a: "x\n', (1, 4), "not YAML"),
        ("a:\n\tb: 1\n", (2, 1), "not YAML: found a tab"),
        ("a: b: c", (1, 5), "not YAML"),
        ("%YAML 3.0\n---\na: 1", (1, 1), "not YAML"),
        ("%TAG !a ! \n" * 200, (1, 1), "%TAG"),
        ("[" * 100_000, (1, 1001), "deep"),
        ("- " * 100_000, (1, 101), "deep"),
        ("{a: " * 100_000, (1, 201), "deep"),
        ("\n".join(" " * n + "a:" for n in range(100)), (51, 51), "deep"),
    ],
)
def test_refused_with_place(text: str | bytes, place: tuple[int, int], said: str) -> None:
    fault = refused(text)
    assert said in fault.what
    assert fault.mend
    assert "\n" not in str(fault)
    assert fault.place == Place("build.yaml", *place)


def test_limits_are_kept_at_the_place_where_they_are_passed() -> None:
    assert read_yaml("[" * DEPTH_MOST + "]" * DEPTH_MOST, "f").data
    assert refused("[" * 51 + "]" * 51).place == Place("build.yaml", 1, 51)
    assert refused("- " * 60 + "a").place == Place("build.yaml", 1, 101)
    names = "".join(f"- &a{n} [{'[' * 9}{f'*a{n - 1}' if n else ''}{']' * 9}]\n" for n in range(6))
    assert "deep" in refused(names).what
    assert read_yaml("[" + "1," * (NODES_MOST - 1) + "]", "f").data
    assert refused("[" + "1," * NODES_MOST + "]").place == Place("build.yaml", 1, 2 * NODES_MOST)
    assert "larger than 4 MB" in refused("#" * (BYTES_MOST + 1)).what
    assert "larger than 4 MB" in refused("é" * (BYTES_MOST // 2 + 1)).what


def test_an_alias_bomb_is_refused_at_once() -> None:
    bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n"
    bomb += "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 9))
    start = time.perf_counter()
    assert "aliases" in refused(bomb).what
    assert time.perf_counter() - start < 1


YAMLISH = st.lists(
    st.sampled_from([*"ab1.- :?,[]{}&*!|>'\"%@#\\~\n\t\r", "\n  ", "- ", ": ", "*a", "&a ", "\x00", "é"]),
    max_size=40,
).map("".join)


@given(st.one_of(st.binary(max_size=80), st.text(max_size=80), YAMLISH, YAMLISH.map(str.encode)))
@example(b"\xff\xfe")
@example("&a [*a]")
@example("- " * 3000)
@example("[" * 3000)
@example("? " * 3000)
@example("%TAG ! a\n%TAG ! a\n")
@settings(max_examples=200, deadline=1000)
def test_anything_is_read_or_refused(text: str | bytes) -> None:
    try:
        placed = read_yaml(text, "f")
    except Refusal as refusal:
        place = refusal.place
    else:
        place = placed.place(())
        json.dumps(placed.data, allow_nan=False).encode()
        assert set(trails(placed.data)) == set(placed.places)
    assert place
    assert place.line >= 1
    assert place.column >= 1


TEXTS = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=6)
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=10,
)


@given(st.dictionaries(st.text("abc", max_size=3), JSON, max_size=4))
@settings(max_examples=50, deadline=1000)
def test_json_is_yaml_and_comes_back(data: dict[str, Json]) -> None:
    placed = read_yaml(json.dumps(data, indent=1, ensure_ascii=False), "f")
    assert placed.data == data
    for trail in trails(data):
        place = placed.places[trail]
        assert placed.line(place)


def trails(data: Json, trail: Trail = ()) -> list[Trail]:
    inner: list[tuple[str | int, Json]] = []
    if isinstance(data, dict):
        inner = list(data.items())
    elif isinstance(data, list):
        inner = list(enumerate(data))
    return [trail, *(found for key, value in inner for found in trails(value, (*trail, key)))]


def test_load(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_bytes(b"\xef\xbb\xbfcraft: otter\r\n")
    placed = load(file)
    assert placed.data == {"craft": "otter"}
    assert placed.place(("craft",)) == Place(str(file), 1, 8)


def test_keys_can_be_left_out() -> None:
    placed = read_yaml("- {id: a, cases: [{b: [1]}], c: 1}\n- {cases: x}\n", "f", frozenset({"cases"}))
    assert placed.data == [{"id": "a", "c": 1}, {}]
    assert at(placed, 0, "cases", 0, "b") == (1, 3)
    with pytest.raises(Refusal):
        read_yaml("{cases: [], cases: []}", "f", frozenset({"cases"}))


def test_what_cannot_be_loaded_is_refused(tmp_path: pathlib.Path) -> None:
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * (BYTES_MOST + 1))
    for path, said in (
        (tmp_path / "none.yaml", "no such file"),
        (tmp_path, "a folder"),
        (large, "larger than 4 MB"),
        (tmp_path / ("x" * 300), "cannot be read"),
        ("a\0b", "cannot be read"),
    ):
        with pytest.raises(Refusal) as caught:
            load(path)
        assert said in caught.value.what
        assert caught.value.place == Place(str(path), 1, 1)


def test_shown_is_one_short_printable_line() -> None:
    assert shown("a\x1b[31m\n\u202eb") == "a\\x1b[31m\\n\\u202eb"
    assert shown("x" * 1000) == "x" * 59 + "…"
    assert shown("x" * 60) == "x" * 60
    assert len(shown("\U000e0001" * 60)) == 60
    values: list[Json] = [True, None, 1.5, [1, 2], {}]
    assert list(map(shown, values)) == ["true", "nothing", "1.5", "a list of 2", "keys and values"]
