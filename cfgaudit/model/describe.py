"""What a schema says of one path: its words on a key that nobody has written yet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cfgaudit.model.placed import Trail
from cfgaudit.model.schema import flow, meaning, referred
from cfgaudit.model.value import Json

Schema = Mapping[str, Any]


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
    """Whether what stands at a trail holds things of the user's own: ports by name, a list of devices."""
    here = part(schema, trail)
    inner = [here.get("items"), here.get("additionalProperties")]
    each = [referred(one, schema) for one in inner if isinstance(one, Mapping)]
    return "properties" not in here and any("object" in _types(one) for one in each)


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


def as_written(keys: Trail, value: Json) -> str:
    """A value below keys in one line of YAML: ``clocks: {apb1_mhz: 42}``."""
    if not keys:
        return str(flow(value))
    inner = value
    for key in reversed(keys[1:]):
        inner = {str(key): inner}
    return f"{keys[0]}: {flow(inner)}"
