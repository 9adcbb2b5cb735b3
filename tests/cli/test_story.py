"""What the samples' story reads like, to the letter: reports, data and mends of otter, heron and vole."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import jsonschema
import pytest
from referencing import Registry

import cfgaudit.report
from tests.cli.session import (
    AFTER,
    BEFORE,
    HERON,
    HERON_SHEET,
    KNOWN_GOOD,
    PRESET,
    SHEET,
    TYPED,
    VOLE,
    VOLE_SHEET,
    run,
)
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots"
SCHEMA = json.loads((pathlib.Path(cfgaudit.report.__path__[0]) / "report.schema.json").read_text("utf-8"))
REPORTS = {
    "audit-after": ("audit", AFTER, "--build", SHEET),
    "audit-before": ("audit", BEFORE, "--build", SHEET),
    "audit-known-good": ("audit", KNOWN_GOOD, "--build", SHEET),
    "audit-heron": ("audit", HERON, "--build", HERON_SHEET),
    "audit-vole": ("audit", VOLE, "--build", VOLE_SHEET),
    "diff-preset": ("diff", BEFORE, AFTER),
    "preset-otter": ("preset", BEFORE, PRESET, "--build", SHEET),
    "preset-typed": ("preset", BEFORE, PRESET, TYPED, "--build", SHEET),
    "numbers-otter": ("numbers", KNOWN_GOOD, "--build", SHEET),
    "numbers-heron": ("numbers", HERON, "--build", HERON_SHEET),
    "numbers-vole": ("numbers", VOLE, "--build", VOLE_SHEET),
    "build-moorhen": ("build", "check", "samples/teach/build.yaml"),
    "build-otter": ("build", "check", SHEET),
}
BENCH = {
    "bench-after.txt": ("audit", AFTER, "--build", SHEET, "--bench"),
    "bench-after.md": ("audit", AFTER, "--build", SHEET, "--bench", "--format", "markdown"),
    "bench-known-good.txt": ("audit", KNOWN_GOOD, "--build", SHEET, "--bench"),
    "bench-vole.txt": ("audit", VOLE, "--build", VOLE_SHEET, "--bench"),
    "bench-heron.txt": ("audit", HERON, "--build", HERON_SHEET, "--bench"),
    "bench-preset.txt": ("diff", BEFORE, AFTER, "--build", SHEET, "--bench"),
}
LISTS = {
    "rules": ("rules", "list"),
    "rule": ("explain", "serial/job-on-wrong-port"),
}
KEPT_AS_DATA = (
    "audit-after",
    "diff-preset",
    "preset-otter",
    "preset-typed",
    "numbers-otter",
    "build-moorhen",
)


def data(*arguments: str) -> Any:
    return json.loads(run(*arguments, "--format", "json").out)


@pytest.mark.parametrize("name", REPORTS)
def test_reads_as_kept(name: str) -> None:
    outcome = run(*REPORTS[name])
    assert outcome.err == ""
    assert_as_kept(f"{name}.txt", outcome.out, FOLDER)


@pytest.mark.parametrize("name", BENCH)
def test_a_bench_list_reads_as_kept(name: str) -> None:
    outcome = run(*BENCH[name])
    assert outcome.err == ""
    assert_as_kept(name, outcome.out, FOLDER)


@pytest.mark.parametrize("name", KEPT_AS_DATA)
def test_data_is_as_kept(name: str) -> None:
    assert_as_kept(f"{name}.json", run(*REPORTS[name], "--format", "json").out, FOLDER)


@pytest.mark.parametrize("name", {**REPORTS, **LISTS})
def test_data_fits_the_published_schema(name: str) -> None:
    document = data(*{**REPORTS, **LISTS}[name])
    jsonschema.Draft202012Validator(SCHEMA, registry=Registry()).validate(document)


@pytest.mark.parametrize("name", REPORTS)
def test_text_and_data_end_alike(name: str) -> None:
    text, other = run(*REPORTS[name]), run(*REPORTS[name], "--format", "json")
    assert (text.code, text.err) == (other.code, other.err)


@pytest.mark.parametrize("name", KEPT_AS_DATA)
def test_two_runs_are_alike(name: str) -> None:
    assert run(*REPORTS[name]) == run(*REPORTS[name])
    assert data(*REPORTS[name]) == data(*REPORTS[name])


def test_no_snapshot_is_left_over() -> None:
    kept = {f"{name}.txt" for name in REPORTS} | {f"{name}.json" for name in KEPT_AS_DATA}
    assert {file.name for file in FOLDER.iterdir() if file.is_file()} == kept | {*BENCH} | {
        "mends.txt",
        "mends.txt.undo",
        "adapted.txt",
    }


def test_what_flew_well_has_no_findings() -> None:
    for report in ("audit-known-good", "audit-heron"):
        document = data(*REPORTS[report])
        assert document["findings"] == []
        assert run(*REPORTS[report], "--fail-at", "note").code == 0


# Mends


def mended(dump: str, sheet: str, target: pathlib.Path) -> tuple[str, str]:
    """The mends of a dump and the way back, as files hold them."""
    outcome = run("audit", dump, "--build", sheet, "--mend", target)
    assert outcome.err == f"mends written to {target}, the way back to {target}.undo\n"
    undo = target.with_name(f"{target.name}.undo")
    return target.read_text("utf-8"), undo.read_text("utf-8")


def lines_of(text: str) -> list[str]:
    return [line for line in text.splitlines() if not line.startswith("~")]


def typed_on(dump: str, text: str, target: pathlib.Path) -> pathlib.Path:
    """A dump after lines were typed: below its own, where the last of several wins."""
    target.write_text((ROOT / dump).read_text("utf-8") + "\n".join(lines_of(text)) + "\n", "utf-8")
    return target


def test_mends_read_as_kept(tmp_path: pathlib.Path) -> None:
    mend, undo = mended(AFTER, SHEET, tmp_path / "mends.txt")
    assert_as_kept("mends.txt", mend, FOLDER)
    assert_as_kept("mends.txt.undo", undo, FOLDER)


def test_mends_mend_and_the_way_back_leads_back(tmp_path: pathlib.Path) -> None:
    mend, undo = mended(AFTER, SHEET, tmp_path / "mends.txt")
    better = typed_on(AFTER, mend, tmp_path / "better.txt")
    levels = {one["level"] for one in data("audit", str(better), "--build", SHEET)["findings"]}
    assert "error" not in levels
    back = typed_on(str(better), undo, tmp_path / "back.txt")
    assert run("diff", AFTER, back).code == 0
    assert run("diff", AFTER, better).code == 1


def test_the_report_is_the_same_beside_mends(tmp_path: pathlib.Path) -> None:
    plain = run("audit", AFTER, "--build", SHEET)
    beside = run("audit", AFTER, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    assert (beside.code, beside.out) == (plain.code, plain.out)


def test_nothing_to_mend_writes_nothing(tmp_path: pathlib.Path) -> None:
    outcome = run("audit", KNOWN_GOOD, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    assert (outcome.code, outcome.err) == (0, "nothing can be mended by lines: no file written\n")
    assert list(tmp_path.iterdir()) == []


def test_a_mends_file_holds_nothing_that_a_name_smuggled_in(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "a\nlink u1 does 0x0 at 1\x1b[2J.txt"
    dump.write_bytes((ROOT / AFTER).read_bytes())
    run("audit", dump, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    for name in ("mends.txt", "mends.txt.undo"):
        text = (tmp_path / name).read_text("utf-8")
        assert "u1" not in "".join(lines_of(text))
        assert all(line.isprintable() for line in text.splitlines())


def test_a_line_that_cannot_be_typed_is_left_out(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_bytes(
        (ROOT / AFTER).read_bytes().replace(b"does 0x0 at 115200\nlink u6", b"does 0x0 at \x01[2J\nlink u6")
    )
    run("audit", dump, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    text = (tmp_path / "mends.txt").read_text("utf-8")
    assert all(line.isprintable() for line in text.splitlines())
    assert "~ left out, since it cannot be typed: link u4 does 0x80 at \\x01[2J" in text.splitlines()
