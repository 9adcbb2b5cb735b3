"""Schema faults as sentences: the first by place, with a mend, in words a builder understands."""

from __future__ import annotations

import subprocess
import sys
import time
from typing import Any

import pytest

from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.schema import FAULTS_MOST, check

NAME = {
    "description": "A name of your own. More about it.",
    "examples": ["otter"],
    "type": "string",
    "minLength": 1,
}
SCHEMA: dict[str, Any] = {
    "description": "what is on the bench",
    "type": "object",
    "additionalProperties": False,
    "required": ["craft"],
    "properties": {
        "craft": {"$ref": "#/$defs/name"},
        "pilot": {"description": "whoever flies it", "examples": ["an aunt"], "$ref": "#/$defs/name"},
        "port": {"description": "the port", "examples": ["UART4"], "pattern": "^UART[0-9]$"},
        "kind": {"description": "the kind", "enum": ["gnss", "GNSS", "receiver"]},
        "cells": {"description": "the cells", "examples": [6], "type": "integer", "minimum": 1, "maximum": 8},
        "range": {
            "description": "a range",
            "examples": [[3, 6]],
            "type": "array",
            "minItems": 2,
            "maxItems": 2,
        },
        "few": {"type": "array", "minItems": 1, "maxItems": 2},
        "some": {"type": "object", "minProperties": 1},
        "either": {
            "description": "a name or names",
            "anyOf": [{"$ref": "#/$defs/name"}, {"type": "array", "items": {"$ref": "#/$defs/name"}}],
        },
        "pads": {
            "type": "object",
            "propertyNames": {"description": "a pad", "examples": ["T4"], "pattern": "^[A-Z][0-9]$"},
            "patternProperties": {"^T": {"type": "string"}},
            "additionalProperties": False,
        },
        "uses": {"type": "object", "propertyNames": {"enum": ["servo", "lamp"]}},
        "even": {"multipleOf": 2},
        "odd": {"not": {"type": "string"}},
        "description": {"const": 1},
    },
    "$defs": {"name": NAME},
}


def fault(text: str, schema: dict[str, Any] | None = None) -> Refusal:
    with pytest.raises(Refusal) as caught:
        check(read_yaml(text, "b"), schema or SCHEMA, "bench sheet")
    return caught.value


def test_sound_data_passes() -> None:
    text = "{craft: otter, port: UART4, kind: gnss, range: [1, 2], either: [a, b], pads: {T4: RX}}"
    check(read_yaml(text, "b"), SCHEMA, "bench sheet")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "craft: a\nprot: UART4",
            (
                "b:2:1: the bench sheet knows no key 'prot'; did you mean 'port'? keys here are craft, "
                "pilot, port, kind, cells, range, few, some, either, pads, uses, even, odd, "
                "description"
            ),
        ),
        (
            "kind: gnss",
            (
                "b:1:1: the bench sheet lacks the key 'craft'; add 'craft': a name of your own, for "
                "example otter"
            ),
        ),
        (
            "- a",
            (
                "b:1:1: the bench sheet is a list of 1, where keys and values must be; write what is on "
                "the bench"
            ),
        ),
        ("craft:", "b:1:1: craft is empty; write a name of your own, for example otter, or remove the line"),
        (
            'craft: ""',
            "b:1:8: craft is empty; write a name of your own, for example otter, or remove the line",
        ),
        ("craft: 5", "b:1:8: craft is 5, where text must be; write a name of your own, for example otter"),
        (
            "craft: a\npilot: yes\ncells: six",
            "b:3:8: cells is 'six', where a whole number must be; write the cells, for example 6",
        ),
        (
            "craft: a\npilot: [b]",
            ("b:2:8: pilot is a list of 1, where text must be; write whoever flies it, for example an aunt"),
        ),
        (
            "craft: a\nport: UART",
            "b:2:7: port is 'UART', which cannot be read; write the port, for example UART4",
        ),
        (
            "craft: a\nkind: reciever",
            (
                "b:2:7: kind is 'reciever', which it cannot be; did you mean 'receiver'? it can be gnss, "
                "receiver (the kind)"
            ),
        ),
        ("craft: a\ncells: 0", "b:2:8: cells is 0, but must be at least 1; write the cells, for example 6"),
        ("craft: a\ncells: 9", "b:2:8: cells is 9, but must be at most 8; write the cells, for example 6"),
        ("craft: a\neven: 3", "b:2:7: even is 3, but must be a multiple of 2; write it as the schema says"),
        ("craft: a\nrange: [1]", "b:2:8: range has 1 entry instead of 2; write a range, for example [3, 6]"),
        ("craft: a\nfew: []", "b:2:6: few has 0 entries instead of 1 to 2; write it as the schema says"),
        ("craft: a\nsome: {}", "b:2:7: some has 0 keys instead of at least 1; write it as the schema says"),
        (
            "craft: a\neither: [b, 5]",
            "b:2:13: either.1 is 5, where text must be; write a name of your own, for example otter",
        ),
        (
            "craft: a\neither: {}",
            "b:2:9: either is keys and values, which cannot be here; write a name or names",
        ),
        ("craft: a\npads:\n  T44: RX", "b:3:3: pads knows no key 'T44'; a key here is a pad, for example T4"),
        ("craft: a\npads:\n  R4: RX", "b:3:3: pads knows no key 'R4'; remove it"),
        (
            "craft: a\nuses:\n  lamb: 1",
            "b:3:3: uses knows no key 'lamb'; did you mean 'lamp'? keys here are servo, lamp",
        ),
        (
            "craft: a\nodd: b",
            ("b:2:6: odd: 'b' should not be valid under {'type': 'string'}; write it as the schema says"),
        ),
        ("craft: a\ndescription: 2", "b:2:14: description is 2, which it cannot be; it can be 1"),
    ],
)
def test_sentence(text: str, sentence: str) -> None:
    assert str(fault(text)) == sentence


def test_a_block_is_pointed_at_by_its_name() -> None:
    schema = {"properties": {"motor": {"required": ["pad"]}}}
    assert str(fault("a: 1\nmotor:\n  at: left\n", schema)).startswith(
        "b:2:1: motor lacks the key 'pad'; add 'pad'"
    )


def test_the_first_by_place_is_told_and_the_others_counted() -> None:
    found = fault("few: []\npilot: 5\nfoo: 1\ncells: x\n")
    assert str(found).startswith("b:1:1: the bench sheet lacks the key 'craft'")
    assert found.mend.endswith(" (and 4 more)")
    assert str(fault("craft: a\nfoo: 1\ncells: x\n")).startswith("b:2:1: the bench sheet knows no key 'foo'")


def test_what_is_quoted_is_short_and_printable() -> None:
    found = str(fault(f'craft: a\nport: "\\e[31m{"x" * 5000}"'))
    assert "'\\x1b[31mxxx" in found
    assert "x…'" in found
    assert len(found) < 200
    assert "knows no key 'a\\nb'" in str(fault('craft: a\n"a\\nb": 1'))


def test_a_file_full_of_faults_is_refused_soon() -> None:
    many = "{" + ",".join(f"k{n}: 1" for n in range(20_000)) + "}"
    placed = read_yaml(many, "b")
    start = time.perf_counter()
    with pytest.raises(Refusal, match=f"and at least {FAULTS_MOST - 1} more"):
        check(placed, SCHEMA, "bench sheet")
    assert time.perf_counter() - start < 1


def test_references_outside_the_schema_are_never_fetched() -> None:
    from referencing.exceptions import Unresolvable

    schema = {"$ref": "http://127.0.0.1:9/schema.json"}
    with pytest.raises(Unresolvable):
        check(read_yaml("a: 1", "b"), schema, "bench sheet")


def test_references_in_a_circle_end() -> None:
    schema = {"properties": {"a": {"type": "integer", "$ref": "#/$defs/x"}}, "$defs": {"x": {"minimum": 5}}}
    assert "at least 5" in str(fault("a: 1", schema))
    tree = {"properties": {"a": {"$ref": "#"}, "b": {"type": "string", "description": "a leaf"}}}
    assert str(fault("{a: {a: {b: 1}}}", tree)) == "b:1:13: a.a.b is 1, where text must be; write a leaf"


def test_importing_costs_nothing_before_a_check() -> None:
    code = (
        "import sys; import cfgaudit.model.schema, cfgaudit.model.sheet, cfgaudit.model.placed\n"
        "assert not {'jsonschema', 'referencing', 'yaml', 'yamlcore'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
