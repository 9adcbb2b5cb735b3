"""The two published schemas: sound, described throughout, and their own examples valid."""

from __future__ import annotations

import json
import pathlib
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import cfgaudit.model.sheet
from cfgaudit.model.devices import JOBS

FOLDER = pathlib.Path(cfgaudit.model.sheet.__file__).parent
SCHEMAS: dict[str, Any] = {
    name: json.loads((FOLDER / f"{name}.schema.json").read_text("utf-8")) for name in ("build", "model")
}


def described(schema: Any, where: str = "#") -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every schema for a value in a schema, with its place."""
    yield where, schema
    for word in ("properties", "$defs", "patternProperties"):
        for key, inner in schema.get(word, {}).items():
            yield from described(inner, f"{where}/{word}/{key}")
    for word in ("items", "additionalProperties", "propertyNames"):
        if isinstance(schema.get(word), dict):
            yield from described(schema[word], f"{where}/{word}")


@pytest.mark.parametrize("name", SCHEMAS)
def test_schema_is_sound(name: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[name])


@pytest.mark.parametrize("name", SCHEMAS)
def test_everything_is_described_with_an_example(name: str) -> None:
    root = SCHEMAS[name]
    for where, schema in described(root):
        aim = root["$defs"][schema["$ref"].rpartition("/")[2]] if "$ref" in schema else {}
        whole = {**aim, **schema}
        assert whole.get("description"), where
        assert not whole["description"].endswith(".") or ". " in whole["description"], where
        assert whole.get("examples"), where
        for example in whole["examples"]:
            validator = Draft202012Validator({**whole, "$id": "urn:test", "$defs": root["$defs"]})
            assert validator.is_valid(example), (where, example)


@pytest.mark.parametrize("name", SCHEMAS)
def test_objects_are_closed(name: str) -> None:
    for where, schema in described(SCHEMAS[name]):
        if "properties" in schema:
            assert "additionalProperties" in schema, where
        assert "uniqueItems" not in schema, where


def test_jobs_of_the_model() -> None:
    assert SCHEMAS["model"]["$defs"]["job"]["enum"] == list(JOBS)


def test_a_model_of_every_section() -> None:
    model = {
        name: section["examples"][0]
        for name, section in SCHEMAS["model"]["properties"].items()
        if "examples" in section
    }
    validator = Draft202012Validator(SCHEMAS["model"])
    assert not [*validator.iter_errors(model)]
    assert not validator.is_valid({**model, "loops": {}})
    assert not validator.is_valid({**model, "ports": {"UART4": {"functions": ["gns"]}}})
    assert not validator.is_valid({**model, "ports": {"U4": {}}})
    assert not validator.is_valid({**model, "profiles": {"1": {"roll gain": 1}}})
