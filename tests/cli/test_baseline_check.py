"""A dump held against its baseline at the command line: the reports, exit codes, what cannot be done."""

from __future__ import annotations

import json
import pathlib

import pytest

from tests.cli.session import AFTER, BEFORE, KNOWN_GOOD, SHEET, refused, run
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots" / "drift"
PROJECT = ("--project", "samples/cfgaudit.yaml")
BASELINE = "samples/otter/baseline.txt"
OTTER = ("--build", SHEET, "--against", BASELINE)


@pytest.fixture(autouse=True)
def own_key(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CFGAUDIT_KEY", str(tmp_path / "seal.key"))


@pytest.mark.parametrize("dump", ["after", "known-good"])
@pytest.mark.parametrize("form", ["text", "json"])
def test_reads_as_kept(dump: str, form: str) -> None:
    outcome = run("baseline", "check", f"samples/otter/{dump}.txt", *OTTER, "--no-why", "--format", form)
    assert outcome.err == ""
    assert_as_kept(f"{dump}.{'txt' if form == 'text' else form}", outcome.out, FOLDER)


@pytest.mark.parametrize(
    ("dump", "more", "code"),
    [
        (KNOWN_GOOD, (), 0),
        (AFTER, (), 1),
        (BEFORE, (), 1),  # drift
        (BEFORE, ("--fail-at", "never"), 0),
    ],
)
def test_exit_codes(dump: str, more: tuple[str, ...], code: int) -> None:
    assert run("baseline", "check", dump, *OTTER, *more).code == code


def test_a_craft_of_the_project_is_enough() -> None:
    alone = run("baseline", "check", "otter", *PROJECT)
    assert alone.code == 0
    assert "No drift" in alone.out
    assert run("baseline", "check", AFTER, "--craft", "otter", *PROJECT).code == 1
    everything = run("baseline", "check", *PROJECT)
    assert (everything.code, everything.out) == (0, alone.out)


def test_all_craft_as_data(tmp_path: pathlib.Path) -> None:
    project = tmp_path / "cfgaudit.yaml"
    project.write_text(
        "craft:\n"
        f"  otter: {{build: {ROOT / SHEET}, dump: {ROOT / KNOWN_GOOD}, baseline: {ROOT / BASELINE}}}\n"
        f"  coot: {{build: {ROOT / SHEET}, dump: nowhere.txt, baseline: {ROOT / BASELINE}}}\n"
        f"  vole: {{build: {ROOT / 'samples/vole/build.yaml'}}}\n",
        "utf-8",
    )
    outcome = run("baseline", "check", "--project", project, "--format", "json")
    assert outcome.code == 2
    document = json.loads(outcome.out)
    assert [one["craft"] for one in document["checks"]] == ["otter"]
    assert [one["craft"] for one in document["faults"]] == ["coot"]
    text = json.dumps(document, indent=2).replace(str(ROOT), "ROOT").replace(str(tmp_path), "TMP")
    assert_as_kept("all.json", f"{text}\n", FOLDER)


def test_another_baseline_can_be_named() -> None:
    outcome = run("baseline", "check", AFTER, "--build", SHEET, "--against", BEFORE, "--no-why")
    assert "a dump without the facts of a record" in outcome.out
    assert "12 changes since the baseline" in outcome.out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((AFTER, "--build", SHEET), "nothing says where the baseline of"),
        ((BASELINE, *OTTER), "is the baseline itself"),
        ((AFTER, "--build", SHEET, "--against", "nowhere.txt"), "nowhere.txt:1:1: there is no such file"),
        (("vole", *PROJECT), "nothing says where the baseline of vole is kept"),
        (("--against", BASELINE, *PROJECT), "one baseline cannot be that of every craft"),
        ((AFTER, *OTTER, "--key", "samples/otter/build.yaml"), "the key would lie in the repository"),
    ],
)
def test_what_cannot_be_done_is_one_line(arguments: tuple[str, ...], says: str) -> None:
    assert says in refused("baseline", "check", *arguments)


def test_a_craft_that_nobody_recorded_yet(tmp_path: pathlib.Path) -> None:
    project = tmp_path / "cfgaudit.yaml"
    project.write_text(
        f"craft: {{otter: {{build: {ROOT / SHEET}, dump: {ROOT / KNOWN_GOOD}, baseline: kept/otter.txt}}}}\n"
    )
    says = "otter has no baseline yet; record one: cfgaudit baseline record DUMP --craft otter"
    assert says in refused("baseline", "check", "otter", "--project", str(project))
    every = run("baseline", "check", "--project", str(project))
    assert (every.code, every.out) == (2, "")
    assert says in every.err
