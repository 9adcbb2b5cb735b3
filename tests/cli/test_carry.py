"""A firmware update from the command line: heron's from dunlin 2.3.1 to 3.0, otter's to another firmware."""

from __future__ import annotations

import json
import pathlib
import re
from typing import Any

import jsonschema
import pytest
from referencing import Registry

import cfgaudit.report
from tests.cli.session import HERON, HERON_SHEET, KNOWN_GOOD, SHEET, process, refused, run
from tests.cli.test_private import TRACE, planted
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots" / "carry"
SCHEMA = json.loads((pathlib.Path(cfgaudit.report.__path__[0]) / "report.schema.json").read_text("utf-8"))
OLD, NEW = "samples/heron/factory-2.3.1.txt", "samples/heron/factory-3.0.txt"
AFTER = "samples/heron/after-update.txt"
UPDATE = ("carry", "--old-factory", OLD, "--mine", HERON, "--new-factory", NEW)
AWAY = ("carry", "--old-factory", "samples/otter/before.txt", "--mine", KNOWN_GOOD, "--new-factory", NEW)
AUDITED = ("--build", HERON_SHEET)
REPORTS = {
    "plan": UPDATE,
    "plan-audited": (*UPDATE, *AUDITED),
    "plan-all": (*UPDATE, "--all"),
    "after": (*UPDATE, *AUDITED, "--after", AFTER),
    "after-all": (*UPDATE, "--after", AFTER, "--all"),
    "away": AWAY,
    "away-all": (*AWAY, "--build", SHEET, "--all", "--no-why"),
}
KEPT_AS_DATA = ("plan-audited", "after")


def data(*arguments: str | pathlib.Path) -> Any:
    return json.loads(run(*arguments, "--format", "json").out)


def typed_on_new(script: pathlib.Path) -> str:
    """The untouched new firmware with the lines of a file typed on it."""
    return (ROOT / NEW).read_text("utf-8") + script.read_text("utf-8")


@pytest.mark.parametrize("name", REPORTS)
def test_reads_as_kept(name: str) -> None:
    outcome = run(*REPORTS[name])
    assert (outcome.code, outcome.err) == (1, "")
    assert_as_kept(f"{name}.txt", outcome.out, FOLDER)


@pytest.mark.parametrize("name", KEPT_AS_DATA)
def test_data_is_as_kept(name: str) -> None:
    assert_as_kept(f"{name}.json", run(*REPORTS[name], "--format", "json").out, FOLDER)


@pytest.mark.parametrize("name", REPORTS)
def test_data_fits_the_published_schema_and_ends_alike(name: str) -> None:
    outcome = run(*REPORTS[name], "--format", "json")
    jsonschema.Draft202012Validator(SCHEMA, registry=Registry()).validate(json.loads(outcome.out))
    assert (outcome.code, outcome.err) == (1, "")


def test_no_snapshot_is_left_over() -> None:
    kept = {f"{name}.txt" for name in REPORTS} | {f"{name}.json" for name in KEPT_AS_DATA}
    assert {file.name for file in FOLDER.iterdir()} == kept | {"script.txt"}


def test_every_change_is_told_once() -> None:
    told = data(*UPDATE)
    counts = told["counts"]
    parts = ("carried_over", "comes_anyway", "doubtful", "not_told")
    assert sum(counts[part] for part in parts) == len(told["changes"])
    shown = run(*UPDATE, "--all").out
    for one in told["changes"]:
        if one["fate"] != "not in your dump":
            assert one["setting"] in shown


# The script


def test_the_script_reads_as_kept(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "script.txt"
    outcome = run(*UPDATE, "--script", file)
    assert outcome.out == run(*UPDATE).out
    said = f"the script was written to {file}; 2 lines with private values are named, not written\n"
    assert (outcome.code, outcome.err) == (1, said)
    assert_as_kept("script.txt", file.read_text("utf-8"), FOLDER)


def test_the_script_below_the_new_firmware_is_the_plan(tmp_path: pathlib.Path) -> None:
    script, after = tmp_path / "script.txt", tmp_path / "after.txt"
    said = run(*UPDATE, "--script", script, "--keep-private").err
    assert (
        said
        == f"the script was written to {script}, with 2 lines with private values in it: show it to nobody\n"
    )
    after.write_text(typed_on_new(script), "utf-8")
    arrival = data(*UPDATE, "--after", after)["arrival"]
    assert (arrival["missing"], arrival["beside"]) == (0, [])
    assert arrival["arrived"] == data(*UPDATE)["counts"]["carried_over"]


def test_private_values_that_were_left_out_are_missing(tmp_path: pathlib.Path) -> None:
    script, after = tmp_path / "script.txt", tmp_path / "after.txt"
    run(*UPDATE, "--script", script)
    after.write_text(typed_on_new(script), "utf-8")
    told = data(*UPDATE, "--after", after)
    missing = [one["setting"] for one in told["changes"] if one["landed"] and not one["landed"]["there"]]
    assert {"pilot", "radio / pairing"} <= {*missing}
    assert told["arrival"]["missing"] == 2


def test_nothing_is_written_over(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "script.txt"
    file.write_text("mine", "utf-8")
    assert refused(*UPDATE, "--script", file) == f"{file}:1:1: this file is there already; name a new one"
    assert file.read_text("utf-8") == "mine"
    assert "cannot be written" in refused(*UPDATE, "--script", tmp_path / "nowhere" / "script.txt")


def test_mends_pasted_after_the_script_mend(tmp_path: pathlib.Path) -> None:
    script, after = tmp_path / "script.txt", tmp_path / "after.txt"
    run(*UPDATE, "--script", script)
    mends = data(*UPDATE, *AUDITED)["audit"]["mends"]["lines"]
    after.write_text(typed_on_new(script) + "\n".join(mends) + "\n", "utf-8")
    assert run("audit", after, *AUDITED).code == 0


# Where the files come from


def test_one_of_them_from_standard_input() -> None:
    mine = (ROOT / HERON).read_bytes()
    piped = run("carry", "--old-factory", OLD, "--mine", "-", "--new-factory", NEW, stdin=mine)
    assert piped.code == 1
    assert "-:129:12" in piped.out
    assert "You had changed 220 settings" in piped.out
    assert "only one of the dumps" in refused(
        "carry", "--old-factory", "-", "--mine", "-", "--new-factory", NEW
    )


def test_as_a_process_of_its_own() -> None:
    done = process(*UPDATE, *AUDITED)
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.stdout.decode("utf-8") == run(*UPDATE, *AUDITED).out


def test_the_sheet_by_the_project_file() -> None:
    by_craft = run(*UPDATE, "--craft", "heron", "--project", "samples/cfgaudit.yaml")
    assert by_craft.code == 1
    assert "heron · dunlin 2.3.1 → 3.0.0" in by_craft.out


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--new-factory", "samples/nowhere.txt"), "there is no such file"),
        (("--build", "samples/nowhere.yaml"), "there is no such file"),
        (("--craft", "nobody", "--project", "samples/cfgaudit.yaml"), "nobody"),
        (("--craft", "heron", *AUDITED), "--craft and --build name a build sheet each"),
        (("--new-factory", "README.md"), "no dialect knows this dump"),
        (("--dialect", "nothing"), "no dialect 'nothing'"),
        (("--new-dialect", "nothing"), "no dialect 'nothing'"),
        (("--keep-private",), "--keep-private is about the file of the script"),
        (("--after", "samples/nowhere.txt"), "there is no such file"),
    ],
)
def test_faults_are_one_line(more: tuple[str, ...], says: str) -> None:
    assert says in refused(*UPDATE, *more)


@pytest.mark.parametrize("missing", ["--old-factory", "--mine", "--new-factory"])
def test_three_dumps_are_needed(missing: str) -> None:
    at = UPDATE.index(missing)
    assert missing in refused(*UPDATE[:at], *UPDATE[at + 2 :])


@pytest.mark.parametrize("more", [("--dialect", "dunlin"), ("--new-dialect", "dunlin")])
def test_a_dialect_that_is_named_reads_the_same(more: tuple[str, ...]) -> None:
    assert run(*UPDATE, *more) == run(*UPDATE)


def test_the_old_dialect_does_not_read_another_firmware() -> None:
    assert run(*AWAY, "--dialect", "plover") == run(*AWAY)


# What the files say of each other


def notes(*arguments: str | pathlib.Path) -> list[tuple[str, bool]]:
    return [(one["text"], one["warns"]) for one in data(*arguments)["notes"]]


def changed(file: str, old: str, new: str, target: pathlib.Path) -> pathlib.Path:
    text = (ROOT / file).read_text("utf-8")
    assert old in text
    target.write_text(text.replace(old, new, 1), "utf-8")
    return target


def test_files_that_go_together_need_no_note() -> None:
    assert notes(*UPDATE) == []


def test_notes_on_files_that_do_not_go_together(tmp_path: pathlib.Path) -> None:
    older = changed(OLD, "dunlin 2.3.1", "dunlin 2.2.0", tmp_path / "older.txt")
    board = changed(OLD, "Sedge-743", "Sedge-405", tmp_path / "board.txt")
    chip = changed(NEW, "STM32H743VIT6", "STM32F405RGT6", tmp_path / "chip.txt")
    some = changed(NEW, "telling all", "telling differences", tmp_path / "some.txt")
    update = dict(zip(UPDATE[1::2], UPDATE[2::2], strict=True))

    def said(**other: str | pathlib.Path) -> str:
        options = update | {f"--{name.replace('_', '-')}": value for name, value in other.items()}
        found = notes("carry", *(word for pair in options.items() for word in pair))
        assert len(found) == 1, found
        return f"{found[0][0]} {found[0][1]}"

    assert "The old factory dump is of dunlin 2.2.0, yours of dunlin 2.3.1" in said(old_factory=older)
    assert "of another board count as changes of yours. Best" not in said(old_factory=board)
    assert "The old factory dump is of Sedge-405, yours of Sedge-743" in said(old_factory=board)
    assert "pins, ports and timers may lie elsewhere" in said(new_factory=chip)
    assert "The new factory dump tells changed settings only" in said(new_factory=some)
    assert "of the version that you have, dunlin 2.3.1. False" in said(new_factory=OLD)
    assert "The later dump is of dunlin 2.3.1" in said(after=HERON)
    assert said(new_factory=chip).endswith("True")


# Exit codes


def test_nothing_changed_is_nothing_to_do() -> None:
    outcome = run("carry", "--old-factory", OLD, "--mine", OLD, "--new-factory", NEW)
    assert outcome.code == 0
    assert "You had changed nothing" in outcome.out
    assert "There is nothing to type" not in outcome.out  # remarks offer the old values


def sure_only(target: pathlib.Path) -> pathlib.Path:
    """The old firmware with two settings changed that the new one has as they were."""
    text = (ROOT / OLD).read_text("utf-8")
    for old, new in {'craft = "nameless"': 'craft = "heron"', "hours-flown = 0": "hours-flown = 412"}.items():
        assert old in text
        text = text.replace(old, new, 1)
    target.write_text(text, "utf-8")
    return target


def test_sure_changes_alone_are_no_finding(tmp_path: pathlib.Path) -> None:
    mine = sure_only(tmp_path / "mine.txt")
    update = ("carry", "--old-factory", OLD, "--mine", str(mine), "--new-factory", NEW)
    assert run(*update).code == 0
    script, after = tmp_path / "script.txt", tmp_path / "after.txt"
    run(*update, "--script", script)
    after.write_text(typed_on_new(script), "utf-8")
    assert run(*update, "--after", after).code == 0
    assert run(*update, "--after", NEW).code == 1  # nothing arrived
    more = changed(str(after), "tuning = 1", "tuning = 2", tmp_path / "more.txt")
    assert run(*update, "--after", more).code == 1  # nobody planned this
    audited = (*update, *AUDITED)
    assert run(*audited).code == 1
    assert run(*audited, "--fail-at", "never").code == 0


# Private values


def test_private_values_are_nowhere(tmp_path: pathlib.Path) -> None:
    mine = tmp_path / "mine.txt"
    mine.write_text(planted("heron"), "utf-8")
    twice = tmp_path / "twice.txt"
    twice.write_text(planted("heron").replace("5e-c2-e7-5e-c2", "5ec2e7 no key"), "utf-8")
    after = tmp_path / "after.txt"
    text = (ROOT / AFTER).read_text("utf-8")
    after.write_text(re.sub(r'(?m)^pilot = ".*"$', 'pilot = "Secretivus"', text), "utf-8")
    script = tmp_path / "script.txt"
    for form in ("text", "json"):
        for dump in (mine, twice):
            update = ("carry", "--old-factory", OLD, "--mine", dump, "--new-factory", NEW, "--format", form)
            away = (
                "carry",
                "--old-factory",
                OLD,
                "--mine",
                dump,
                "--new-factory",
                KNOWN_GOOD,
                "--format",
                form,
            )
            backwards = (
                "carry",
                "--old-factory",
                dump,
                "--mine",
                OLD,
                "--new-factory",
                NEW,
                "--format",
                form,
            )
            for arguments in (
                update,
                (*update, "--after", after),
                (*update, "--after", OLD),
                away,
                backwards,
            ):
                said = run(*arguments, "--all", *AUDITED)
                assert said.code in (0, 1), said.err
                assert not TRACE.search(said.out + said.err), (arguments, TRACE.search(said.out + said.err))
    run("carry", "--old-factory", OLD, "--mine", mine, "--new-factory", NEW, "--script", script)
    assert not TRACE.search(script.read_text("utf-8"))
    kept = tmp_path / "kept.txt"
    said = run(
        "carry",
        "--old-factory",
        OLD,
        "--mine",
        mine,
        "--new-factory",
        NEW,
        "--script",
        kept,
        "--keep-private",
    )
    assert TRACE.search(kept.read_text("utf-8"))
    assert not TRACE.search(said.out + said.err)


def test_a_dump_of_changes_only_is_laid_over_the_old_factory(tmp_path: pathlib.Path) -> None:
    mine = tmp_path / "mine.txt"
    header = (ROOT / HERON).read_text("utf-8").splitlines()[:2]
    mine.write_text(
        "\n".join([*header, "[pack]", "cells = 6"]).replace("telling all", "telling differences"), "utf-8"
    )
    told = data("carry", "--old-factory", OLD, "--mine", mine, "--new-factory", NEW)
    assert [one["setting"] for one in told["changes"]] == ["pack / cells"]
    assert "Your dump tells changed settings only" in told["notes"][0]["text"]
    assert data("carry", "--old-factory", OLD, "--mine", mine, "--new-factory", NEW, "--after", mine)[
        "arrival"
    ]


def test_an_old_factory_dump_of_another_firmware_is_refused() -> None:
    old, new = "samples/otter/before.txt", "samples/heron/factory-3.0.txt"
    line = refused("carry", "--old-factory", old, "--mine", HERON, "--new-factory", new)
    assert line == (
        f"{old}:1:1: this is of plover, and your dump {HERON} of dunlin; "
        "give the dump of the firmware that yours began as"
    )


def test_a_later_dump_of_another_firmware_is_refused() -> None:
    update = ("carry", "--old-factory", OLD, "--mine", HERON, "--new-factory", NEW)
    line = refused(*update, "--after", KNOWN_GOOD)
    assert line.startswith(f"{KNOWN_GOOD}:1:1: this is of plover, and the new factory dump of dunlin; ")
