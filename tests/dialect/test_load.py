"""Any YAML as a dialect: it compiles, or a refusal says what is wrong and where."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.front import Front
from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import named_dialect, opened, own_dialect, shipped_dialects, shipped_fronts
from cfgaudit.dialect.write import write
from cfgaudit.dump.text import Text
from cfgaudit.model.placed import load, read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.shipped import shipped
from tests.dialect.dumps import DUMPS
from tests.dialect.small import KNOT, TEAL, compiled, of, placed, typed

LEAST = "dialect: wren\nfamily: {family}\nheader: wren {{firmware.version}}\n{more}"


def wren(more: str, family: str = "console") -> Dialect:
    return compiled(LEAST.format(family=family, more=more))


def test_the_least_a_dialect_says() -> None:
    made = wren("")
    assert (made.remark, made.assignment.text, made.full, made.changed) == (
        "#", "{name} = {value}", {"full"}, {"changed"},
    )  # fmt: skip


AB = "forms:\n- line: 'a {b}'\n  "  # the head of a form
A = "settings:\n  a: {integer: , range: [1, 3]}\n"
ABT = AB + "cells: {b: text}\n"


@pytest.mark.parametrize(
    ("more", "place", "what"),
    [
        ("header: wren\n", "4:1", "written twice"),
        ("versions: about 4\n", "4:11", "not a range of versions"),
        ("assignment: '{value}'\n", "4:13", "an assignment is written with {name}"),
        ("assignment: 'x{name} = {value}'\n", "4:13", "an assignment is written with {name}"),
        ("assignment: '{name} = {value} ;'\n", "4:13", "an assignment is written with {name}"),
        ("assignment: '{name}:{value}'\n", "4:13", "an assignment is written with {name}"),
        ("assignment: '{name} := x={value}'\n", "4:13", "an assignment is written with {name}"),
        (AB, "5:9", "the cell {b} is not described"),
        (AB + "cells: {b: text, c: text}\n", "6:23", "the cell 'c' is not in the line"),
        ("forms:\n- line: 'a {b} {b}'\n  cells: {b: text}\n", "5:9", "stands twice"),
        ("forms:\n- line: '{b...}'\n  cells: {b: text}\n", "5:9", "needs a word before its cells"),
        (AB + "cells: {b: {}}\n", "6:14", "names no codec"),
        (ABT + "  key: [c]\n", "7:9", "'c' is no cell"),
        (AB + "cells: {b: flag}\n  key: [b]\n", "7:9", "cannot stand in a path or in a key"),
        (ABT + "  gives: {gnss.home: c}\n", "7:22", "'c' is no cell"),
        (ABT + "  gives: {gnss.home: b.c}\n", "7:22", "has no fields"),
        (ABT + "  gives: {'pins.{c}': b}\n", "7:23", "'c' is no cell"),
        (AB + "cells: {b: list}\n  gives: {'pins.{b}': b}\n", "7:23", "cannot stand in a path"),
        (AB + "cells: {b: {words: {x: 'x y'}}}\n  gives: {'pins.{b}': b}\n", "7:23", "'x y' of the cell 'b'"),
        (AB + "cells: {b: {packed: {c: {bits: 0}}}}\n  gives: {osd.rows: b}\n", "7:21", "is no field"),
        (
            ABT + "  gives: {gnss.home: b}\n  key: [b]\n",
            "7:22",
            "lines with another b would give 'gnss.home' too",
        ),
        (ABT + "- line: 'a {b}'\n  cells: {b: text}\n", "7:9", "comes twice"),
        (ABT + "  factory: ['a 1', 'b 1']\n", "7:20", "factory line does not fit its form"),
        (ABT + '  factory: ["a 1\\na 2"]\n', "7:13", "does not fit its form"),
        (AB + "cells: {b: integer}\n  factory: [a x]\n", "7:13", "has 'x' for b, which is not a whole"),
        (AB + "cells: {b: {integer: , range: [1, 2]}}\n  factory: [a 3]\n", "7:13", "outside 1 to 2"),
        ("settings:\n  a: {text: '(b)'}\n", "5:6", "cannot be in a pattern"),
        ("settings:\n  a: {integer: , is: 'pins.{b}'}\n", "5:22", "'b' is no cell"),
        ("scopes:\n- opens: 'a {n}'\n", "5:10", "the cell {n} is not described"),
        ("scopes:\n- opens: 'a {n}'\n  cells: {n: flag}\n", "6:14", "cannot stand in a path or in a key"),
        ("scopes:\n- opens: 'a {value}'\n  cells: {value: text}\n", "6:18", "two cells are called 'value'"),
        (
            "scopes:\n- opens: 'a {n}'\n  cells: &c {n: text}\n  forms:\n  - line: 'b {n}'\n    cells: *c\n",
            "6:17",
            "two cells are called 'n'",
        ),
        ("scopes:\n- opens: a\n- opens: a\n", "6:10", "opens two scopes"),
        ("renamed: {'1.2': {a: b}}\n", "4:22", "no setting is called 'a'"),
        ("moved: {'1.2': {a: 1}}\n", "4:20", "no setting is called 'a' in version 1.2"),
        (A + "renamed: {'1.2': {a: b}}\nmoved: {'1.2': {a: 1}}\n", "7:20", "no setting is called 'a' in"),
        (A + "renamed: {'1.2': {a: b}}\nmoved: {'1.1': {b: 1}}\n", "7:20", "no setting is called 'b' in"),
        (A + "moved: {'1.2': {a: 9}}\n", "6:20", "the default 9 is outside 1 to 3"),
        (A + "moved: {'1.2': {a: x}}\n", "6:20", "the default x is not a number"),
        (
            "settings:\n  a: {integer: , until: '1.2'}\nmoved: {'1.2': {a: 1}}\n",
            "6:20",
            "no setting is called 'a' in version 1.2",
        ),
    ],
)
def test_what_cannot_be_compiled_is_refused_with_its_place(more: str, place: str, what: str) -> None:
    with pytest.raises(Refusal) as refused:
        wren(more)
    assert what in refused.value.what
    assert str(refused.value.place) == f"own.yaml:{place}"
    assert refused.value.mend


@pytest.mark.parametrize(
    "header",
    ["wren", "wren {a}", "{Firmware.version}", "{firmware}", "{gnss.home}", "{firmware.name}{extent}", "{"],
)
def test_what_is_no_header(header: str) -> None:
    with pytest.raises(Refusal):
        own_dialect(placed({"dialect": "wren", "family": "console", "header": header}))


def test_a_dialect_is_named_or_given_as_a_file(tmp_path: Any) -> None:
    assert named_dialect("plover").name == "plover"
    file = tmp_path / "teal.yaml"
    file.write_text(TEAL)
    assert named_dialect(str(file)).name == "teal"
    with pytest.raises(Refusal, match="no dialect 'teal'") as refused:
        named_dialect("teal")
    assert "dunlin, plover" in refused.value.mend
    with pytest.raises(Refusal, match="no such file"):
        named_dialect(str(tmp_path / "none.yaml"))


def test_a_front_page_says_what_its_dialect_says() -> None:
    fronts = shipped_fronts()
    assert [page.name for page in fronts] == [one.name for one in shipped_dialects()]
    for page in fronts:
        whole = opened(page)
        assert page == Front(**{name: getattr(whole, name) for name in Front.__struct_fields__})


# Any YAML

SPECS: list[Any] = [
    None, True, 0, -1, 2**62, 3.5, 1e-300, 1e300, "", "none", "integer", "text", "{n}", "{n...}", "{value}",
    "x {n} y", "a b", "\n", "é", "(a+)+", "[a-z]*z", "a{1,9999}", "{}", "{", "0-3,3", "0-59", "hex",
    "on", "4.2",
    ">=9", "[", "=", "{a}{b}", "{a}.{b}", [], {}, [1, 2], [2, 1], ["a"], {"integer": None}, {"text": None},
    {"words": {"a": "b"}}, {"flag": None}, {"bits": {"0": "x", "1": "x"}}, {"decimal": 0.01}, {"list": None},
    {"packed": {"a": {"bits": 0}, "b": {"bits": "1-2"}}}, {"pin": None}, "battery.cells",
    "ports.{id}.functions", "ports.{id}", "profiles.active", "profiles", "spot.row", "value.x",
]  # fmt: skip
KEYS = [
    "text",
    "integer",
    "is",
    "range",
    "default",
    "private",
    "since",
    "key",
    "gives",
    "none",
    "written",
    "{n}",
]
SMALL = {"teal": of(TEAL), "knot": of(KNOT)}
SHIPPED = {path.stem: load(path).data for path in sorted(shipped("grammars").glob("*.yaml"))}


def nodes(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    yield path
    for key in node if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ():
        yield from nodes(node[key], (*path, key))


def at(node: Any, path: tuple[str | int, ...]) -> Any:
    for key in path:
        node = node[key]
    return node


@st.composite
def changed(draw: st.DrawFn, data: Any) -> Any:
    """A dialect with a few things in it exchanged, removed, renamed or mistyped."""
    data = copy.deepcopy(data)
    for _ in range(draw(st.integers(1, 3))):
        paths = list(nodes(data))[1:]
        path = draw(st.sampled_from(paths))
        parent, key = at(data, path[:-1]), path[-1]
        match draw(st.sampled_from(["put", "take", "copy", "rename", "mistype", "add"])):
            case "put":
                parent[key] = copy.deepcopy(draw(st.sampled_from(SPECS)))
            case "take":
                del parent[key]
            case "copy":
                parent[key] = copy.deepcopy(at(data, draw(st.sampled_from(paths))))
            case "rename" if isinstance(parent, dict):
                parent[draw(st.sampled_from([*KEYS, *(str(one[-1]) for one in paths)]))] = parent.pop(key)
            case "mistype" if isinstance(parent[key], str):
                cut = draw(st.integers(0, len(parent[key])))
                piece = draw(st.sampled_from(["", "{", "}", "{n}", " ", "=", "...", "|", "*", "0", "-"]))
                parent[key] = parent[key][:cut] + piece + parent[key][cut + draw(st.integers(0, 1)) :]
            case "add" if isinstance(parent[key], dict):
                parent[key][draw(st.sampled_from(KEYS))] = copy.deepcopy(draw(st.sampled_from(SPECS)))
    return data


VALUES: list[Any] = [
    True,
    1,
    -5,
    3.25,
    "x",
    "none",
    "a b",
    (),
    ("receiver",),
    (1, 2),
    10**20,
    float("nan"),
    "bit²",
]


def refused_or_sound(data: Any, dump: str, value: Any) -> None:
    """Compile a dialect, read by it, write by it: only a refusal may come of it."""
    source = Text("dump.txt", dump, "utf-8", mark=False)
    try:
        reading = read_dump(source, as_dialect(source, own_dialect(placed(data))))
        for path in [*reading.model.leaves][::5]:
            lines = write(reading, {path: value}).lines
            pasted(reading, typed(*lines))
    except Refusal:
        return


slowly = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize("name", SMALL)
@given(st.data())
@slowly
def test_a_changed_dialect_is_refused_or_sound(name: str, data: st.DataObject) -> None:
    refused_or_sound(data.draw(changed(SMALL[name])), DUMPS[name], data.draw(st.sampled_from(VALUES)))


@pytest.mark.parametrize("name", SHIPPED)
@given(st.data())
@settings(slowly, max_examples=2)
def test_a_changed_shipped_dialect_is_refused_or_sound(name: str, data: st.DataObject) -> None:
    refused_or_sound(data.draw(changed(SHIPPED[name])), DUMPS[name], data.draw(st.sampled_from(VALUES)))


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.sampled_from(SPECS)
    | st.text("ab{}.", max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from([*KEYS, "line", "cells", "opens", "of"]), inner, max_size=4)
    ),
    max_leaves=12,
)
TOP = st.sampled_from(
    [
        "forms",
        "settings",
        "scopes",
        "constants",
        "renamed",
        "moved",
        "header",
        "extent",
        "family",
        "assignment",
    ]
)


@given(st.dictionaries(TOP, JSON, max_size=4))
@settings(slowly, max_examples=40)
def test_random_data_is_refused_or_sound(data: dict[str, Any]) -> None:
    least = {"dialect": "wren", "family": "console", "header": "teal {firmware.version}"}
    refused_or_sound(least | data, DUMPS["teal"], 1)


@given(st.text(max_size=40))
@settings(slowly, max_examples=30)
def test_random_text_is_refused(text: str) -> None:
    with pytest.raises(Refusal):
        own_dialect(read_yaml(text, "own.yaml"))


@pytest.mark.parametrize("way", ["{name}: {value}", "{name}:= {value}", "{name}={value}", "{name} = {value}"])
def test_an_operator_may_stand_behind_the_name(way: str) -> None:
    made = wren(f"assignment: '{way}'\nsettings: {{a.b: text}}\n")
    assert (made.name_word, len(made.assignment.words)) == (0, 3)
    assert made.scopes[0].settings["a.b"].line.render({"value": "5 6"}) == way.replace(
        "{name}", "a.b"
    ).replace("{value}", "5 6")


def test_a_section_is_never_assigned() -> None:
    made = wren("scopes:\n- opens: 'link: {id}'\n  cells: {id: text}\n", "sectioned")
    assert made.scopes[1].opens is not None
    assert [word.text for word in made.scopes[1].opens.words] == ["link:", "{id}"]
