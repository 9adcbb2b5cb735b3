"""Craft by name: what a project file makes of a command line."""

from __future__ import annotations

import json
import pathlib
import shutil

import jsonschema
import pytest

from tests.cli.session import AFTER, KNOWN_GOOD, SHEET, refused, run
from tests.house.checkout import ROOT

PROJECT = ("--project", "samples/cfgaudit.yaml")
SCHEMA = json.loads((ROOT / "cfgaudit/report/report.schema.json").read_text("utf-8"))


@pytest.fixture
def bench(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """A copy of the samples that a user stands in."""
    folder = tmp_path / "samples"
    shutil.copytree(ROOT / "samples", folder)
    monkeypatch.chdir(folder)
    return folder


def test_a_craft_by_its_name(bench: pathlib.Path) -> None:
    said = run("audit", "otter")
    assert said.code == 0
    assert said.out.startswith("otter · plover")
    assert "otter/known-good.txt: full dump" in said.out


def test_from_a_folder_below(bench: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(bench / "heron")
    assert "../heron/known-good.txt: full dump" in run("audit", "heron").out


def test_another_dump_of_a_craft() -> None:
    by_sheet = json.loads(run("audit", AFTER, "--build", SHEET, "--format", "json").out)
    by_name = json.loads(run("audit", AFTER, "--craft", "otter", *PROJECT, "--format", "json").out)
    levels = [{**one, "level": ""} for one in by_name["findings"]]
    assert sorted(map(str, levels)) == sorted(str({**one, "level": ""}) for one in by_sheet["findings"])
    assert [one["rule"] for one in by_name["weighed"]] == ["identity/craft-name"]


def test_all_craft_in_the_order_of_the_file(bench: pathlib.Path) -> None:
    said = run("audit", "--no-why")
    assert said.code == 1
    heads = [line.split(" · ")[0] for line in said.out.splitlines() if "audited with" in line]
    assert heads == ["otter", "heron", "vole"]
    assert "These rules hold" not in said.out
    assert said.out.count("No findings: nothing that was judged speaks against the build.\n") == 2
    assert "cfgaudit.yaml:16:9, until 2027-03-01" in said.out


def test_all_craft_as_data() -> None:
    said = json.loads(run("audit", *PROJECT, "--format", "json").out)
    jsonschema.Draft202012Validator(SCHEMA).validate(said)
    assert [one["craft"] for one in said["audits"]] == ["otter", "heron", "vole"]
    assert [one["rule"] for one in (by["finding"] for by in said["audits"][2]["report"]["accepted"])] == [
        "osd/standard-differs"
    ]
    assert said["faults"] == []


def test_a_project_of_one_craft_is_told_as_one_of_many(bench: pathlib.Path) -> None:
    """Who reads the data need not know how many there are."""
    (bench / "cfgaudit.yaml").write_text(
        "craft: {otter: {build: otter/build.yaml, dump: otter/known-good.txt}}\n", "utf-8"
    )
    assert [one["craft"] for one in json.loads(run("audit", "--format", "json").out)["audits"]] == ["otter"]
    assert json.loads(run("audit", "otter", "--format", "json").out)["kind"] == "audit"
    assert refused("audit", "--mend", "mends.txt").startswith("mends are written for one craft at a time")


@pytest.mark.parametrize("form", ["text", "json"])
def test_one_that_cannot_be_read_keeps_none_of_the_others_back(bench: pathlib.Path, form: str) -> None:
    (bench / "heron" / "known-good.txt").unlink()
    said = run("audit", "--format", form)
    assert said.code == 2
    assert (
        said.err == "heron: heron/known-good.txt:1:1: there is no such file; check the name and the folder\n"
    )
    if form == "json":
        data = json.loads(said.out)
        assert [one["craft"] for one in data["audits"]] == ["otter", "vole"]
        assert [one["craft"] for one in data["faults"]] == ["heron"]
    else:
        assert said.out.count("audited with") == 2


def test_mends_and_bench_lists_of_a_craft(bench: pathlib.Path) -> None:
    said = run("audit", "vole", "--mend", "mends.txt")
    assert said.code == 1
    mended = (bench / "mends.txt").read_text("utf-8")
    assert "CELL_BRIM,4200" in mended
    assert "# cfgaudit mends" in mended
    assert "cfgaudit audit new.txt --craft vole" in run("audit", "vole", "--bench").out
    named = run("audit", "vole", "--bench", "--dialect", "avocet").out
    assert "cfgaudit audit new.txt --craft vole --dialect avocet" in named


def test_a_sheet_that_is_named_stands_alone(bench: pathlib.Path) -> None:
    said = json.loads(run("audit", "vole/faulty.txt", "--build", "vole/build.yaml", "--format", "json").out)
    assert (said["accepted"], said["weighed"]) == ([], [])


def test_own_rules_and_levels_of_a_project(bench: pathlib.Path) -> None:
    text = (bench / "cfgaudit.yaml").read_text("utf-8")
    (bench / "cfgaudit.yaml").write_text(
        text.replace("rules:\n", "rules:\n  folder: heron/club-rules\n"), "utf-8"
    )
    rules = json.loads(run("audit", "otter", "--format", "json").out)
    assert any(
        one.startswith("club/") for one in [*rules["holding"], *(f["rule"] for f in rules["findings"])]
    )


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (
            (AFTER, *PROJECT),
            "nothing says which aircraft samples/otter/after.txt is of; add --craft with one of",
        ),
        (
            ("coot", *PROJECT),
            "samples/cfgaudit.yaml:1:1: there is no craft coot in this project; name one of otter",
        ),
        (("--craft", "coot", *PROJECT), "samples/cfgaudit.yaml:1:1: there is no craft coot in this project"),
        ((AFTER,), "no build sheet is named, and there is no cfgaudit.yaml in this folder or above it; name"),
        ((), "no build sheet is named, and there is no cfgaudit.yaml in this folder or above it; name"),
        (("--build", SHEET), "no dump is named; name its file: cfgaudit audit DUMP --build SHEET"),
        ((AFTER, "--build", SHEET, "--craft", "otter"), "--craft and --build name a build sheet each; leave"),
        ((*PROJECT, "--mend", "mends.txt"), "mends are written for one craft at a time; name it"),
        (("otter", "--project", "nix.yaml"), "nix.yaml:1:1: there is no such file"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_line(arguments: tuple[str, ...], says: str) -> None:
    line = refused("audit", *arguments)
    assert line.startswith(says)


def test_a_craft_without_a_dump(bench: pathlib.Path) -> None:
    (bench / "cfgaudit.yaml").write_text("craft:\n  otter: {build: otter/build.yaml}\n", "utf-8")
    assert refused("audit", "otter").startswith("cfgaudit.yaml:2:3: no dump of otter is named; name one")
    assert run("audit", "otter/known-good.txt", "--craft", "otter").code == 0


def test_a_craft_without_a_dump_keeps_no_other_back(bench: pathlib.Path) -> None:
    (bench / "cfgaudit.yaml").write_text(
        "craft:\n  heron: {build: heron/build.yaml, baseline: none.txt}\n"
        "  otter: {build: otter/build.yaml, dump: otter/known-good.txt, baseline: otter/baseline.txt}\n",
        "utf-8",
    )
    for command in (("audit",), ("audit", "--show-settings"), ("baseline", "check", "--show-settings")):
        outcome = run(*command)
        assert outcome.code == 2
        assert "otter/known-good.txt" in outcome.out
        assert outcome.err.startswith("heron: cfgaudit.yaml:2:3: no dump of heron is named; ")
        assert outcome.err.count("\n") == 1
    told = json.loads(run("audit", "--format", "json").out)
    jsonschema.validate(told, SCHEMA)
    assert [one["craft"] for one in told["faults"]] == ["heron"]


def test_a_dump_in_the_place_of_the_sheet_is_called_one() -> None:
    says = "this is a dump, and not a build sheet; exchange the two names"
    assert says in refused("audit", SHEET, "--build", KNOWN_GOOD)
