"""From Python one gets what the command line says."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import pytest

import cfgaudit
from cfgaudit.report.cautions import with_consequences
from tests.cli.session import AFTER, BEFORE, HERON, HERON_SHEET, KNOWN_GOOD, SHEET, run
from tests.house.checkout import ROOT


def data(*arguments: str | pathlib.Path) -> Any:
    return json.loads(run(*arguments, "--format", "json").out)


@pytest.mark.parametrize(
    ("dump", "sheet"),
    [(AFTER, SHEET), (BEFORE, SHEET), (KNOWN_GOOD, SHEET), (HERON, HERON_SHEET), (HERON, SHEET)],
)
def test_an_audit(dump: str, sheet: str) -> None:
    said = data("audit", dump, "--build", sheet)
    found = cfgaudit.audit(cfgaudit.read_dump(dump), cfgaudit.read_build(sheet))
    assert sorted(one["fingerprint"] for one in said["findings"]) == sorted(
        one.fingerprint for one in found.findings
    )
    assert sorted(one["text"] for one in said["findings"]) == sorted(one.text for one in found.findings)
    assert said["holding"] == sorted(found.holding)
    assert len(said["not_judged"]) == len(found.not_judged) == said["counts"]["not_judged"]
    counted = [one for one in found.findings if one.level == "error"]
    assert said["counts"]["error"] == len(counted)
    every = [*with_consequences(found.findings)]
    assert said["counts"]["consequences"] == len(every) - len(found.findings)


def test_a_comparison() -> None:
    said = data("diff", BEFORE, AFTER)
    found = cfgaudit.diff(cfgaudit.read_dump(BEFORE), cfgaudit.read_dump(AFTER))
    assert not found.same
    assert [one["text"] for one in said["changes"]] == [one.text for one in found.changes]
    assert [one["paths"] for one in said["changes"]] == [
        [".".join(path) for path in one.paths] for one in found.changes
    ]
    assert (said["before"]["settings"], said["after"]["settings"]) == (found.settings_a, found.settings_b)
    assert cfgaudit.diff(cfgaudit.read_dump(AFTER), cfgaudit.read_dump(AFTER)).same


def test_a_dump_from_bytes() -> None:
    reading = cfgaudit.read_dump("in memory", data=(ROOT / AFTER).read_bytes())
    assert cfgaudit.diff(reading, cfgaudit.read_dump(AFTER)).same
    assert reading.dump.file == "in memory"


def test_rules_of_ones_own(tmp_path: pathlib.Path) -> None:
    nothing = cfgaudit.audit(cfgaudit.read_dump(AFTER), cfgaudit.read_build(SHEET), ())
    assert (nothing.findings, nothing.holding, nothing.not_judged) == ((), (), ())


def test_a_dialect_by_name_and_by_file() -> None:
    by_header = cfgaudit.read_dump(AFTER)
    for dialect in ("plover", "grammars/plover.yaml"):
        assert cfgaudit.read_dump(AFTER, dialect).model.tree == by_header.model.tree


@pytest.mark.parametrize(
    ("call", "file"),
    [
        (lambda: cfgaudit.read_dump("none.txt"), "none.txt"),
        (lambda: cfgaudit.read_build("none.yaml"), "none.yaml"),
        (lambda: cfgaudit.read_dump(AFTER, "none.yaml"), "none.yaml"),
        (lambda: cfgaudit.read_dump("x", data=b""), "x"),
    ],
)
def test_a_fault_has_its_place(call: Any, file: str) -> None:
    with pytest.raises(cfgaudit.Refusal) as caught:
        call()
    assert caught.value.place
    assert (caught.value.place.file, caught.value.place.line) == (file, 1)
    assert caught.value.what
    assert caught.value.mend
