"""cfgaudit build draft: a first sheet on screen or in a new file, never over an old one."""

from __future__ import annotations

import pathlib
import shutil
import subprocess

import pytest
from hypothesis import given

import cfgaudit
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.sheet import build_from
from tests.cli.session import AFTER, HERON, KNOWN_GOOD, VOLE, process, refused, run
from tests.cli.test_fuzz import EDITS, Edits, examples, file_of, guarded, spoilt
from tests.house.checkout import ROOT

TAUGHT = "samples/teach/known-good.txt"


@pytest.mark.parametrize("dump", [AFTER, HERON, KNOWN_GOOD, VOLE])
def test_on_screen_and_in_a_file_alike(dump: str, tmp_path: pathlib.Path) -> None:
    target = tmp_path / "build.yaml"
    shown, kept = run("build", "draft", dump), run("build", "draft", dump, "--out", target)
    assert (shown.code, shown.err) == (0, "")
    assert (kept.code, kept.out) == (0, "")
    assert target.read_text("utf-8") == shown.out
    assert kept.err.startswith(f"draft written to {target}: ")
    assert "proves nothing until a person has looked at every line" in kept.err
    assert cfgaudit.read_build(str(target)).tree


def test_the_draft_audits_its_dump(tmp_path: pathlib.Path) -> None:
    target = tmp_path / "build.yaml"
    run("build", "draft", KNOWN_GOOD, "--out", target)
    assert run("audit", KNOWN_GOOD, "--build", target, "--fail-at", "note").code == 0
    assert run("build", "check", target).code == 0
    assert run("numbers", KNOWN_GOOD, "--build", target).code == 0


def test_no_file_is_written_over(tmp_path: pathlib.Path) -> None:
    target = tmp_path / "build.yaml"
    target.write_text("mine", "utf-8")
    assert refused("build", "draft", KNOWN_GOOD, "--out", target) == (
        f"{target}:1:1: this file is there already; name a new one"
    )
    assert target.read_text("utf-8") == "mine"
    link = tmp_path / "link.yaml"
    link.symlink_to(tmp_path / "nowhere")
    assert "there already" in refused("build", "draft", KNOWN_GOOD, "--out", link)
    assert "there already" in refused("build", "draft", KNOWN_GOOD, "--out", tmp_path)


@pytest.mark.parametrize("out", ["", "no/such/folder/build.yaml", "a\0b"])
def test_a_file_that_cannot_be_written(out: str) -> None:
    assert refused("build", "draft", KNOWN_GOOD, "--out", out)


def test_nothing_is_written_when_there_is_no_draft(tmp_path: pathlib.Path) -> None:
    target = tmp_path / "build.yaml"
    refused("build", "draft", TAUGHT, "--out", target)
    assert not target.exists()


def test_a_dump_that_no_dialect_knows() -> None:
    line = refused("build", "draft", TAUGHT)
    assert line.startswith(f"{TAUGHT}:1:1: no dialect knows this dump")
    assert "--dialect" in line


def test_a_dump_that_another_dialect_cannot_read() -> None:
    line = refused("build", "draft", KNOWN_GOOD, "--dialect", "dunlin")
    assert line == (
        f"{KNOWN_GOOD}:1:1: read as dunlin, this dump tells nothing that a build sheet could say; "
        "name its dialect with --dialect"
    )


def test_a_dialect_of_one_s_own(tmp_path: pathlib.Path) -> None:
    dialect = tmp_path / "dabchick.yaml"
    assert run("dialect", "draft", TAUGHT, "--build", "samples/teach/build.yaml", "--out", dialect).code == 0
    outcome = run("build", "draft", TAUGHT, "--dialect", dialect)
    assert outcome.code == 0
    made = build_from(read_yaml(outcome.out, "build.yaml"))
    assert made.tree["craft"] == "moorhen"


@pytest.mark.parametrize(
    ("dump", "said"),
    [
        ("none.txt", "there is no such file"),
        (".", "this is a folder"),
    ],
)
def test_what_is_no_dump(dump: str, said: str) -> None:
    assert said in refused("build", "draft", dump)


def test_an_empty_dump() -> None:
    assert refused("build", "draft", "-", stdin=b"").startswith("-:1:1: ")


def test_from_standard_input() -> None:
    given_ = run("build", "draft", "-", stdin=(ROOT / KNOWN_GOOD).read_bytes())
    named = run("build", "draft", KNOWN_GOOD)
    assert given_.code == 0
    assert [line for line in given_.out.splitlines() if not line.startswith("#")] == [
        line for line in named.out.splitlines() if not line.startswith("#")
    ]


def test_from_git(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / KNOWN_GOOD, "dump.txt")
    who = ("-c", "user.name=a", "-c", "user.email=a@b")
    for command in (["init", "-q"], ["add", "dump.txt"], [*who, "commit", "-qm", "a dump"]):
        subprocess.run(["git", *command], check=True)
    outcome = run("build", "draft", "HEAD:dump.txt")
    assert outcome.code == 0
    assert "made from HEAD:dump.txt" in outcome.out


def test_as_a_process_of_its_own() -> None:
    done = process("build", "draft", KNOWN_GOOD)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().startswith("# A draft of a build sheet")


@examples(12)
@given(edits=EDITS)
def test_a_spoilt_dump(edits: Edits, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Whatever the dump holds: a sheet that reads back, or one line that says why there is none."""
    dump = tmp_path_factory.mktemp("fuzz") / "dump.txt"
    dump.write_bytes(spoilt(file_of(KNOWN_GOOD), edits))
    with guarded():
        outcome = run("build", "draft", dump)
    assert outcome.code in (0, 2)
    assert all(line.isprintable() for line in [*outcome.out.split("\n"), *outcome.err.split("\n")])
    if outcome.code:
        assert (outcome.out, outcome.err.count("\n")) == ("", 1)
    else:
        build_from(read_yaml(outcome.out, "build.yaml"))
