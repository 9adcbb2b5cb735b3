"""A preset at the command line: exit codes, the adapted file, what cannot be done."""

from __future__ import annotations

import json
import pathlib
import subprocess

import pytest

from tests.cli.session import (
    AFTER,
    BEFORE,
    HERON,
    HERON_SHEET,
    KNOWN_GOOD,
    PRESET,
    SHEET,
    TYPED,
    Outcome,
    refused,
    run,
)
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots"
OTTER = ("--build", SHEET)
ANOTHERS = "plover knows no line of this preset, and avocet knows 2 of 3"


def preset(file: pathlib.Path, *lines: str) -> pathlib.Path:
    file.write_text("".join(f"{line}\n" for line in lines), "utf-8")
    return file


def tried(
    tmp_path: pathlib.Path, *lines: str, before: str = KNOWN_GOOD, more: tuple[str, ...] = ()
) -> Outcome:
    return run("preset", before, preset(tmp_path / "preset.txt", *lines), *OTTER, *more)


def test_exit_codes_of_a_dry_run(tmp_path: pathlib.Path) -> None:
    assert run("preset", BEFORE, PRESET, *OTTER).code == 1
    assert run("preset", BEFORE, PRESET, *OTTER, "--fail-at", "never").code == 0
    assert tried(tmp_path, "lamp.glow := 55", "keep").code == 0
    draws = "draw craft at 621"  # a warning
    assert tried(tmp_path, draws, "keep").code == 1
    assert tried(tmp_path, draws, "keep", more=("--fail-at", "error")).code == 0


def test_exit_codes_of_what_came_of_it(tmp_path: pathlib.Path) -> None:
    dump = (ROOT / KNOWN_GOOD).read_text("utf-8")
    after = tmp_path / "after.txt"
    lines = preset(tmp_path / "preset.txt", "lamp.glow := 55", "keep")
    cases = {
        dump.replace("lamp.glow := 40", "lamp.glow := 55"): 0,
        dump: 1,  # it did not take effect
        dump.replace("lamp.glow := 40", "lamp.glow := 55").replace("tone.loud := 10", "tone.loud := 9"): 1,
    }
    for text, code in cases.items():
        after.write_text(text, "utf-8")
        assert run("preset", KNOWN_GOOD, lines, after, *OTTER).code == code
        assert run("preset", KNOWN_GOOD, lines, after, *OTTER, "--fail-at", "never").code == 0
    assert run("preset", BEFORE, PRESET, AFTER, *OTTER).code == 1  # its findings


def test_the_adapted_preset_goes_into_a_new_file(tmp_path: pathlib.Path) -> None:
    fits = tmp_path / "adapted.txt"
    outcome = run("preset", BEFORE, PRESET, *OTTER, "--adapted", fits)
    assert (outcome.code, outcome.err) == (1, f"the adapted preset was written to {fits}\n")
    assert outcome.out == run("preset", BEFORE, PRESET, *OTTER).out
    assert_as_kept("adapted.txt", fits.read_text("utf-8"), FOLDER)
    again = run("preset", BEFORE, fits, *OTTER)
    assert again.code == 0
    assert "The preset fits as it is" in again.out


def test_the_adapted_preset_is_what_the_report_shows(tmp_path: pathlib.Path) -> None:
    fits = tmp_path / "adapted.txt"
    shown = run("preset", BEFORE, PRESET, *OTTER, "--adapted", fits).out
    assert "\n".join(fits.read_text("utf-8").splitlines()[2:]) in shown


def test_nothing_is_written_over(tmp_path: pathlib.Path) -> None:
    there = preset(tmp_path / "there.txt", "mine")
    said = refused("preset", BEFORE, PRESET, *OTTER, "--adapted", there)
    assert said == f"{there}:1:1: this file is there already; name a new one"
    assert there.read_text("utf-8") == "mine\n"
    assert "cannot be written" in refused("preset", BEFORE, PRESET, *OTTER, "--adapted", tmp_path / "a" / "b")


def test_private_values_are_in_the_file_alone(tmp_path: pathlib.Path) -> None:
    fits, secret = tmp_path / "fits.txt", 'stick.secret := "5ec2e7"'
    said = tried(tmp_path, secret, f"~ {secret}", "keep", more=("--adapted", str(fits)))
    assert (
        said.err == f"the adapted preset was written to {fits}, with 2 private values that no report shows\n"
    )
    assert secret in fits.read_text("utf-8").splitlines()
    assert "5ec2e7" not in said.out


def test_values_of_another_version_are_as_private(tmp_path: pathlib.Path) -> None:
    text = (ROOT / "grammars/plover.yaml").read_text("utf-8")
    dialect = tmp_path / "plover.yaml"
    dialect.write_text(
        text.replace(
            '"4.2": {volts.warn: volts.low,', '"4.2": {stick.secret: stick.bond, volts.warn: volts.low,'
        )
    )
    for form in ("text", "json"):
        more = ("--dialect", str(dialect), "--format", form)
        said = tried(tmp_path, 'stick.bond := "5ec2e7"', "keep", more=more)
        assert said.code == 0
        assert "since 4.2" in said.out
        assert "5ec2e7" not in said.out


# What cannot be done


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ((), "the preset has no lines to type; name the file that holds them"),
        (("~ a remark", ""), "the preset has no lines to type; name the file that holds them"),
        (
            ("PAD0,C09,ROTOR1", "LINK3_WORK,16", "store"),
            f"{ANOTHERS}; take one for plover: another firmware's lines do nothing here",
        ),
        (("once upon a time",), "plover knows no line of this preset; take one that was made for plover"),
    ],
)
def test_a_preset_that_nothing_can_be_said_of(
    lines: tuple[str, ...], said: str, tmp_path: pathlib.Path
) -> None:
    file = preset(tmp_path / "preset.txt", *lines)
    assert refused("preset", BEFORE, file, *OTTER) == f"{file}:1:1: {said}"
    assert refused("preset", BEFORE, file, AFTER, *OTTER) == f"{file}:1:1: {said}"


def test_names_that_do_not_go_together(tmp_path: pathlib.Path) -> None:
    assert refused("preset", "-", "-", *OTTER).startswith("standard input can be only one of the files")
    assert refused("preset", BEFORE, "-", "-", *OTTER).startswith("standard input can be only one")
    both = ("--adapted", str(tmp_path / "x"))
    assert "not adapted any more" in refused("preset", BEFORE, PRESET, AFTER, *OTTER, *both)
    assert "no such file" in refused("preset", BEFORE, tmp_path / "none", *OTTER)
    assert "no such file" in refused("preset", BEFORE, PRESET, tmp_path / "none", *OTTER)
    assert "no dump is named" in refused("preset", "", PRESET, *OTTER)
    assert "no build sheet is named" in refused("preset", BEFORE, PRESET)
    assert "Missing argument" in refused("preset", BEFORE, *OTTER)


def test_bytes_that_are_no_text(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "preset.txt"
    file.write_bytes(b"\0\1\2\xff" * 400)
    assert refused("preset", BEFORE, file, *OTTER).startswith(f"{file}:1:1: ")


# Where files come from


def test_from_standard_input() -> None:
    data = (ROOT / PRESET).read_bytes()
    outcome = run("preset", BEFORE, "-", *OTTER, stdin=data)
    assert outcome.code == 1
    assert "-:20:1" in outcome.out


def test_from_a_revision(tmp_path: pathlib.Path) -> None:
    def git(*words: str) -> None:
        identity = ("-c", "user.name=x", "-c", "user.email=x@example.org")
        subprocess.run(["git", *identity, *words], cwd=tmp_path, check=True, capture_output=True)

    for name in (BEFORE, PRESET, SHEET):
        (tmp_path / pathlib.Path(name).name).write_bytes((ROOT / name).read_bytes())
    git("init", "-q")
    git("add", ".")
    git("commit", "-qm", "kept")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(tmp_path)
        outcome = run("preset", "HEAD:before.txt", "HEAD:preset.txt", "--build", "build.yaml")
    assert outcome.code == 1
    assert "HEAD:preset.txt:20:1" in outcome.out


def test_by_a_project_file() -> None:
    project = ("--project", "samples/cfgaudit.yaml")
    named = run("preset", BEFORE, PRESET, "--craft", "otter", *project)
    assert named.code == 1
    assert "It would bring 5 findings" in named.out
    assert "It would bring" in run("preset", "otter", PRESET, *project).out


def test_a_capture_is_cleaned(tmp_path: pathlib.Path) -> None:
    lines = [f"plover> {line}" for line in ("lamp.glow := 55", "tone.loud := 4", "keep")]
    outcome = tried(tmp_path, *lines)
    assert outcome.code in (0, 2)
    assert all(line.isprintable() for line in outcome.out.splitlines())


def test_hostile_lines_are_written_out(tmp_path: pathlib.Path) -> None:
    lines = ["lamp.glow := 55", "lamp.tint := \x1b[2J", "x" * 50_000, "craft.note := \u202eabc", "keep"]
    fits = tmp_path / "fits.txt"
    outcome = tried(tmp_path, *lines, more=("--adapted", str(fits)))
    assert outcome.code == 0
    for text in (outcome.out, fits.read_text("utf-8")):
        assert all(line.isprintable() and len(line) < 1000 for line in text.splitlines())
    assert "lamp.glow := 55" in fits.read_text("utf-8").splitlines()


def test_dumps_that_are_hard_to_hold_against_each_other(tmp_path: pathlib.Path) -> None:
    later = tmp_path / "later.txt"
    text = (
        (ROOT / AFTER)
        .read_text("utf-8")
        .replace("plover 4.1.2", "plover 4.2.0")
        .replace("volts.warn", "volts.low")
    )
    later.write_text(text, "utf-8")
    said = run("preset", BEFORE, PRESET, later, *OTTER).out
    assert f"{later}: the dump before is of version 4.1.2, and this one of 4.2.0" in said
    other = run("preset", BEFORE, PRESET, HERON, *OTTER).out
    assert "the dump before was read as plover, and this one as dunlin" in other


def test_data_and_text_tell_the_same() -> None:
    document = json.loads(run("preset", BEFORE, PRESET, TYPED, *OTTER, "--format", "json").out)
    text = run("preset", BEFORE, PRESET, TYPED, *OTTER).out
    for key in ("did_not", "could_not"):
        for one in document[key]:
            where = one["where"]
            assert f"{where['file']}:{where['line']}:{where['column']}" in text
    assert [one["where"]["line"] for one in document["did_not"]] == [20, 26]
    assert [one["subject"] for one in document["beside"]] == ["motors"]


def test_no_why(tmp_path: pathlib.Path) -> None:
    assert "\n         why " in run("preset", BEFORE, PRESET, *OTTER).out
    assert "\n         why " not in run("preset", BEFORE, PRESET, *OTTER, "--no-why").out


def test_a_preset_in_sections(tmp_path: pathlib.Path) -> None:
    file = preset(tmp_path / "p.txt", "[link D]", "carries = idle", "remember")
    outcome = run("preset", HERON, file, "--build", HERON_SHEET)
    assert outcome.code == 1
    assert f"{file}:2:" in outcome.out


def test_lines_that_need_a_selector_say_so(tmp_path: pathlib.Path) -> None:
    said = tried(tmp_path, "grip.roll := 50")
    assert said.code == 0
    assert "it counts only below “tune {n}”, and does not stand there" in said.out


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("volts.wran := 340", "knows no such line: did you mean volts.warn?"),
        ("volts.warn = 340", "knows no such line: it is written volts.warn := {value}"),
        ("once upon a time", "knows no such line"),
    ],
)
def test_a_near_miss_is_told(line: str, said: str, tmp_path: pathlib.Path) -> None:
    out = tried(tmp_path, line, "keep").out
    assert next(row for row in out.splitlines() if line in row).rstrip().endswith(said)
