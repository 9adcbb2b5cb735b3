"""The dialect schema: the reference of all that a dialect can say, and the guard of the compiler."""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib import resources
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from cfgaudit.dialect.cell import CODECS
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dump.grammar import FAMILIES
from cfgaudit.model.placed import load
from cfgaudit.model.refusal import Refusal
from cfgaudit.shipped import shipped
from tests.dialect.small import KNOT, TEAL, compiled, of, placed

SCHEMA = json.loads(resources.files("cfgaudit.dialect").joinpath("dialect.schema.json").read_text("utf-8"))
SHIPPED = sorted(shipped("grammars").glob("*.yaml"))


def subschemas(schema: Any, at: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every part of the schema that says something of a value, with its place."""
    if not isinstance(schema, dict):
        return
    yield at, schema
    for key in ("properties", "$defs"):
        for name, inner in schema.get(key, {}).items():
            yield from subschemas(inner, f"{at}/{key}/{name}")
    for key in ("items", "additionalProperties", "propertyNames"):
        yield from subschemas(schema.get(key), f"{at}/{key}")


PARTS = dict(subschemas(SCHEMA))


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_dialects_are_what_it_says(path: Any) -> None:
    own_dialect(load(path))


@pytest.mark.parametrize("text", [TEAL, KNOT], ids=["teal", "knot"])
def test_small_dialects_are_what_it_says(text: str) -> None:
    compiled(text)


def test_it_names_the_families_and_codecs_of_the_program() -> None:
    assert SCHEMA["properties"]["family"]["enum"] == list(FAMILIES)
    for name in ("cell", "setting"):
        properties = SCHEMA["$defs"][name]["properties"]
        assert [key for key in properties if key in CODECS] == list(CODECS)


@pytest.mark.parametrize("at", PARTS)
def test_each_part_is_described_with_an_example_that_holds(at: str) -> None:
    part = PARTS[at]
    if set(part) == {"$ref"}:
        return
    assert part.get("description"), "no description"
    assert part.get("examples"), "no example"
    inner = Draft202012Validator({**part, "$defs": SCHEMA["$defs"]})
    for example in part["examples"]:
        inner.validate(example)


@pytest.mark.parametrize("at", [at for at, part in PARTS.items() if part.get("type") == "object"])
def test_each_object_is_closed_or_says_what_its_keys_are(at: str) -> None:
    part = PARTS[at]
    assert part.get("additionalProperties") is False or "propertyNames" in part


@pytest.mark.parametrize(
    ("where", "value", "says"),
    [
        (("family",), "rows", ["family", "rows", "console, sectioned, columns"]),
        (("settingz",), {}, ["settingz"]),
        (("header",), 3, ["header", "a remark that the firmware writes"]),
        (("versions",), 4.1, ["versions", "4.1", ">=4.0 <5.0"]),
        (("remark",), "//", ["remark", "//"]),
        (("forms", 0, "lines"), "a", ["forms.0", "lines"]),
        (("forms", 0, "gives"), {"port.{id}.functions": "jobs"}, ["port.{id}.", "a path of the model"]),
        (("forms", 0, "key"), "id", ["key", "a list"]),
        (("settings", "volts.warn", "is"), "battery.cell_warn", ["is", "battery.cell_warn_v"]),
        (("settings", "volts.warn", "decimal"), None, ["decimal", "empty", "a scale"]),
        (("settings", "volts.warn", "decimal"), 0, ["decimal", "0.01"]),
        (("settings", "volts.warn", "range"), [3.0], ["range", "the lowest and the highest value"]),
        (("settings", "volts.warn", "after"), "a while", ["after", "a while", "restart, power cycle"]),
        (("settings", "volts.warn", "since"), 4.1, ["since", "in quotes"]),
        (("settings", "a b"), "integer", ["a b", "a setting's name, without blanks"]),
        (("settings", "seed"), "words", ["seed", "words"]),
        (("settings", "pair", "private"), "yes", ["private", "true or false"]),
        (("settings", "pair", "text"), 3, ["text", "the pattern of the whole text"]),
        (("scopes", 0, "opens"), "[tune {n}]", ["opens", "the line that opens the scope"]),
        (("scopes", 0, "cells", "n"), {"pin": "{port}"}, ["pin", "{number"]),
        (("constants",), {"osd.elements.{x}.width": 3}, ["osd.elements.{x}.width", "without cells"]),
        (("renamed",), {"later": {}}, ["later", "a version, in quotes"]),
        (("moved",), {"later": {}}, ["later", "a version, in quotes"]),
        (("moved",), {"1.3": {"volts.low": None}}, ["volts.low", "the value that the firmware has"]),
        (("forms", 0, "since"), 4.1, ["since", "in quotes"]),
    ],
)  # fmt: skip
def test_what_it_says_of_a_fault(where: tuple[str | int, ...], value: Any, says: list[str]) -> None:
    data = of(TEAL)
    node: Any = data
    for key in where[:-1]:
        node = node[key]
    node[where[-1]] = value
    with pytest.raises(Refusal) as refused:
        own_dialect(placed(data))
    said = f"{refused.value.what}; {refused.value.mend}"
    assert [part for part in says if part not in said] == [], said
    assert refused.value.place is not None
