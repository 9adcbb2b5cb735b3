"""--show-settings, and the commands that go by a project file."""

from __future__ import annotations

import contextlib
import io
import pathlib
import shutil

import pytest

from cfgaudit.cli.main import cfgaudit
from tests.cli.session import refused, run
from tests.house.checkout import ROOT
from tests.report.snapshot import assert_as_kept

FOLDER = pathlib.Path(__file__).parent / "snapshots" / "settings"


@pytest.fixture
def bench(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """The samples' project as somebody's own folder, where they stand."""
    home = tmp_path / "samples"
    shutil.copytree(ROOT / "samples", home)
    monkeypatch.chdir(home)
    monkeypatch.setenv("CFGAUDIT_KEY", "/somewhere/seal.key")
    return home


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("audit.txt", ("audit", "--fail-at", "error")),
        ("audit.json", ("audit", "vole", "--format", "json")),
        ("check.txt", ("baseline", "check", "otter/after.txt", "--craft", "otter")),
    ],
)
def test_what_is_in_force_and_from_where(bench: pathlib.Path, name: str, arguments: tuple[str, ...]) -> None:
    outcome = run(*arguments, "--show-settings")
    assert (outcome.code, outcome.err) == (0, "")
    assert_as_kept(name, outcome.out, FOLDER)


def test_a_folder_below_finds_the_project_above(bench: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(bench / "otter")
    out = run("audit", "after.txt", "--craft", "otter", "--show-settings").out
    assert "found in this folder or above" in out
    assert "after.txt" in out


def test_files_named_on_the_command_line_say_so(bench: pathlib.Path) -> None:
    out = run("audit", "otter/after.txt", "--build", "otter/build.yaml", "--show-settings").out
    assert "project" not in out
    assert out.count("the command line") == 2


def test_the_name_of_a_craft_is_enough_for_numbers(bench: pathlib.Path) -> None:
    named = run("numbers", "otter/known-good.txt", "--build", "otter/build.yaml")
    assert run("numbers", "otter").out == named.out
    assert "nothing says which craft" in refused("numbers")


def test_diff_takes_sheet_and_dialect_of_a_craft(bench: pathlib.Path) -> None:
    arguments = ("diff", "vole/known-good.txt", "vole/changed-only.txt")
    assert run(*arguments, "--craft", "vole").out == run(*arguments, "--build", "vole/build.yaml").out
    assert "leave one of them out" in refused(*arguments, "--craft", "vole", "--build", "vole/build.yaml")


def test_rules_are_listed_and_explained_as_the_project_has_them(bench: pathlib.Path) -> None:
    assert "identity/craft-name   error" in run("rules", "list", "craft-name").out
    assert "counts as error: three craft on one bench" in " ".join(
        run("explain", "identity/craft-name").out.split()
    )
    accepted = run("explain", "osd/standard-differs", "--craft", "vole").out
    assert "accepted at devices.camera" in " ".join(accepted.split())
    assert "here" not in run("explain", "osd/standard-differs").out.split()


def test_own_rules_of_the_project_are_listed_and_explained(bench: pathlib.Path) -> None:
    project = bench / "cfgaudit.yaml"
    project.write_text(
        project.read_text("utf-8").replace("rules:\n", "rules:\n  folder: heron/club-rules\n"), "utf-8"
    )
    listed = run("rules", "list").out
    own = [line.split()[0] for line in listed.splitlines() if line.startswith("club/")]
    assert own
    assert run("explain", own[0]).code == 0


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_are_told_how_to_complete(shell: str) -> None:
    outcome = run("completion", shell)
    assert (outcome.code, outcome.err) == (0, "")
    assert "_CFGAUDIT_COMPLETE" in outcome.out


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("cfgaudit explain serial/job-on-w", "serial/job-on-wrong-port"),
        ("cfgaudit audit --craft ot", "otter"),
        ("cfgaudit audit he", "heron"),
        ("cfgaudit diff --dialect plo", "plover"),
        ("cfgaudit baseline rec", "record"),
        ("cfgaudit baseline record ot", "otter"),
        ("cfgaudit baseline show --dialect plo", "plover"),
        ("cfgaudit history --craft ot", "otter"),
    ],
)
def test_what_a_shell_completes(
    bench: pathlib.Path, words: str, offered: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("_CFGAUDIT_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", words)
    monkeypatch.setenv("COMP_CWORD", str(len(words.split()) - 1))
    out = io.TextIOWrapper(io.BytesIO())
    with contextlib.redirect_stdout(out), pytest.raises(SystemExit):
        cfgaudit.main([], prog_name="cfgaudit", standalone_mode=False)
    out.flush()
    assert f"plain,{offered}" in out.buffer.getvalue().decode().split()  # type: ignore[attr-defined]


def test_another_baseline_and_key_are_told_with_who_named_them(
    bench: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    check = ("baseline", "check", "otter", "--show-settings")
    rows = run(*check, "--against", "otter/before.txt", "--key", "/mine").out.splitlines()
    assert [row.split() for row in rows if row.split()[:1] in (["baseline"], ["key"])] == [
        ["baseline", "otter/before.txt", "the", "command", "line"],
        ["key", "/mine", "the", "command", "line"],
    ]
    monkeypatch.setenv("CFGAUDIT_KEY", "/theirs")
    assert ["key", "/theirs", "CFGAUDIT_KEY"] in [row.split() for row in run(*check).out.splitlines()]
    one_for_all = ("baseline", "check", "--show-settings", "--against", "otter/before.txt")
    assert "one baseline cannot be that of every craft" in refused(*one_for_all)
