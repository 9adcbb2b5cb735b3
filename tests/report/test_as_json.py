from __future__ import annotations

import json
import pathlib
from typing import Any

import jsonschema
import pytest
from referencing import Registry

import cfgaudit.report
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import (
    audit_json,
    audits_json,
    build_json,
    diff_json,
    json_text,
    numbers_json,
    rules_json,
)
from cfgaudit.report.baseline.history_data import history_json
from cfgaudit.report.fleet.data import fleet_json
from cfgaudit.report.preset.data import preset_after_json, preset_json
from tests.report.fleets import FLEET, QUIET_FLEET
from tests.report.histories import EVERY, SINCE
from tests.report.hostile import hostile
from tests.report.otter import (
    AUDIT,
    BUILD_PAPER,
    CHANGED,
    CLEAN,
    DIFF_PAPER,
    KNOWN,
    LEFT_OUT,
    LINES_CHANGED,
    MUTE,
    PAPER,
    RULES,
    TABLES,
    WITHOUT_DIALECT,
    Changes,
)
from tests.report.presets import APPLIED_PAPER, PRESET_PAPER, came_of, tried
from tests.report.snapshot import FOLDER, assert_as_kept

SCHEMA = json.loads((pathlib.Path(cfgaudit.report.__path__[0]) / "report.schema.json").read_text("utf-8"))
OF_COMMANDS = pathlib.Path(__file__).parents[1] / "cli" / "snapshots"
FAULTS = {"heron": "heron/build.yaml:1:1: there is no such file; check the name and the folder"}
KEPT = {
    "audit.json": audit_json(PAPER, AUDIT),
    "audit-accepted.json": audit_json(PAPER, KNOWN),
    "audits.json": audits_json("0.1.0", [("otter", PAPER, CLEAN)], FAULTS),
    "build.json": build_json(BUILD_PAPER, AUDIT, LEFT_OUT),
    "diff.json": diff_json(DIFF_PAPER, CHANGED),
    "fleet.json": fleet_json(FLEET),
    "history.json": history_json("0.1.0", *EVERY),
    "rules.json": rules_json("0.1.0", RULES),
    "numbers.json": numbers_json(PAPER, TABLES),
}
HOSTILE = {
    "hostile audit": audit_json(*hostile((PAPER, AUDIT))),
    "hostile accepted": audit_json(*hostile((PAPER, KNOWN))),
    "hostile audits": audits_json(*hostile(("0.1.0", [("otter", PAPER, CLEAN)], FAULTS))),
    "hostile build": build_json(*hostile((BUILD_PAPER, AUDIT, LEFT_OUT))),
    "hostile diff": diff_json(*hostile((DIFF_PAPER, CHANGED))),
    "hostile fleet": fleet_json(hostile(FLEET)),
    "hostile numbers": numbers_json(*hostile((PAPER, TABLES))),
    "hostile history": history_json(*hostile(("0.1.0", *EVERY))),
    "hostile rules": rules_json(*hostile(("0.1.0", RULES))),
}
DOCUMENTS = {
    **KEPT,
    **HOSTILE,
    "clean": audit_json(PAPER, CLEAN),
    "whole build": build_json(BUILD_PAPER, CLEAN, ()),
    "mute": audit_json(PAPER, MUTE),
    "quiet fleet": fleet_json(QUIET_FLEET),
    "changes since": history_json("0.1.0", *SINCE),
    "no change": diff_json(DIFF_PAPER, Changes(())),
    "no dialect": diff_json(WITHOUT_DIALECT, LINES_CHANGED),
    "preset": preset_json(PRESET_PAPER, tried()),
    "preset with AFTER": preset_after_json(APPLIED_PAPER, came_of()),
}


def closed(schema: Any) -> Any:
    """The schema without room for members that it does not describe."""
    if isinstance(schema, list):
        return [closed(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    inner = {key: closed(value) for key, value in schema.items()}
    return {**inner, "additionalProperties": False} if "properties" in schema else inner


def validator(schema: Any) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schema, registry=Registry())


def texts(tree: Json) -> list[str]:
    if isinstance(tree, str):
        return [tree]
    if isinstance(tree, list):
        return [text for one in tree for text in texts(one)]
    if isinstance(tree, dict):
        return [*tree, *(text for one in tree.values() for text in texts(one))]
    return []


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_the_schema_describes_every_member() -> None:
    def silent(name: str, schema: Any) -> list[str]:
        inner = [
            one
            for key, value in schema.get("properties", {}).items()
            for one in silent(f"{name}.{key}", value)
        ]
        return inner if "$ref" in schema or schema.get("description") else [name, *inner]

    assert not [one for name, schema in SCHEMA["$defs"].items() for one in silent(name, schema)]


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("*.json")} == KEPT.keys()


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, json_text(KEPT[name]))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_fits_the_schema_and_says_nothing_beside_it(name: str) -> None:
    assert not [error.message for error in validator(closed(SCHEMA)).iter_errors(DOCUMENTS[name])]


@pytest.mark.parametrize("kind", SCHEMA["oneOf"])
def test_every_member_is_required(kind: dict[str, str]) -> None:
    name = kind["$ref"].rpartition("/")[2]
    kept = [
        *DOCUMENTS.values(),
        *(json.loads(file.read_text("utf-8")) for file in OF_COMMANDS.rglob("*.json")),
    ]
    (document, *_) = [one for one in kept if isinstance(one, dict) and one["kind"] == name]
    assert isinstance(document, dict)
    for member in document:
        without = {key: value for key, value in document.items() if key != member}
        assert not validator(SCHEMA).is_valid(without), member


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_written_out(name: str) -> None:
    written = json_text(HOSTILE[name])
    assert written.isascii()
    assert written.replace("\n", "").isprintable()
    read = json.loads(written)
    assert all(text.isprintable() for text in texts(read))
    assert any("\\x1b" in text for text in texts(read))


def test_order_without_meaning_is_sorted() -> None:
    report = json.loads(json_text(KEPT["audit.json"]))
    assert report["holding"] == sorted(report["holding"])
    assert [one["rule"] for one in report["not_judged"]] == ["motor/poles", "osd/canvas", "osd/canvas"]
    assert [one["level"] for one in report["findings"]] == ["error", "error", "warning", "note"]
    assert [one["weight"] for one in json.loads(json_text(KEPT["diff.json"]))["changes"]] == [
        "can hurt",
        "wiring and links",
        "wiring and links",
        "the rest",
        "the rest",
    ]


def test_counts_agree_with_what_is_listed() -> None:
    report = json.loads(json_text(KEPT["audit.json"]))
    assert report["counts"] == {
        "error": 2,
        "warning": 1,
        "note": 1,
        "consequences": 2,
        "accepted": 0,
        "holding": len(report["holding"]),
        "not_judged": len(report["not_judged"]),
    }


def test_what_is_accepted_counts_by_itself() -> None:
    report = json.loads(json_text(KEPT["audit-accepted.json"]))
    assert report["counts"]["accepted"] == len(report["accepted"]) == 2
    assert (report["counts"]["error"], report["counts"]["warning"], report["counts"]["note"]) == (1, 0, 0)
    assert [one["until"] for one in report["accepted"]] == ["2027-03-01", None]
    assert "radio" in [one["word"] for one in report["cautions"]["hazards"]]


def test_lines_that_must_not_be_pasted_are_marked() -> None:
    kept, spoilt = (
        json.loads(json_text(one))["findings"] for one in (KEPT["audit.json"], HOSTILE["hostile audit"])
    )
    assert all(one["mend"]["exact"] for one in kept)
    assert not any(one["mend"]["exact"] for one in spoilt if one["mend"]["lines"])
