"""What a schema says of one path: its words on a key that nobody has written yet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cfgaudit.model.path import Path
from cfgaudit.model.placed import Trail
from cfgaudit.model.schema import meaning, referred
from cfgaudit.model.value import Json
from cfgaudit.model.written import key, written

Schema = Mapping[str, Any]
_INNER = ("items", "additionalProperties")  # what a schema says of things by free names


def part(schema: Schema, trail: Trail) -> Schema:
    """The schema of what stands at a trail; an empty one where the schema knows no such key."""
    here = referred(schema, schema)
    for step in trail:
        here = referred(_below(here, step), schema)
    return here


def _below(here: Schema, step: str | int) -> Schema:
    if step in here.get("properties", ()):
        found: Schema = here["properties"][step]
        return found
    inner = here.get("items" if isinstance(step, int) else "additionalProperties")
    return inner if isinstance(inner, Mapping) else {}


def names_are_free(schema: Schema, trail: Trail) -> bool:
    """Whether the keys at a trail are the user's own: the names of ports and pads, places in a list."""
    here = part(schema, trail)
    return "properties" not in here and any(isinstance(here.get(key), Mapping) for key in _INNER)


def holds_things(schema: Schema, trail: Trail) -> bool:
    """Whether what stands at a trail holds whole things by such keys: ports, rails, motors, devices."""
    here = part(schema, trail)
    inner = (referred(here[key], schema) for key in _INNER if isinstance(here.get(key), Mapping))
    return "properties" not in here and any("object" in _types(one) for one in inner)


def _types(schema: Schema) -> tuple[str, ...]:
    types = schema.get("type", ())
    return (types,) if isinstance(types, str) else tuple(types)


def described(schema: Schema, trail: Trail) -> str:
    """What belongs at a trail, as the part of a sentence: a small letter, no full stop; "" if unknown."""
    return meaning(part(schema, trail))


def example(schema: Schema, trail: Trail) -> Json:
    """What could stand at a trail; None where the schema gives no example."""
    examples = part(schema, trail).get("examples", ())
    first: Json = next(iter(examples), None)
    return first


def line_of(keys: Path, value: Json) -> str:
    """A value below keys in one line of YAML: ``clocks: {apb1_mhz: 42}``."""
    inner = value
    for name in reversed(keys[1:]):
        inner = {name: inner}
    return f"{key(keys[0])}: {written(inner)}"
