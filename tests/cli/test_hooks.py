"""What pre-commit is offered, and the command that looks for private values."""

from __future__ import annotations

import pathlib
import shlex
from typing import Any

import pytest
import yaml

from cfgaudit.cli.main import main
from tests.baseline.repository import baseline
from tests.cli.session import HERON, KNOWN_GOOD, SHEET, refused, run
from tests.house.checkout import ROOT

HOOKS: list[dict[str, Any]] = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
KEYS = {
    "id",
    "name",
    "description",
    "entry",
    "language",
    "types",
    "require_serial",
    "pass_filenames",
    "files",
}
NAME = "Odette Marsh"
PILOT = ('pilot.called := ""', f'pilot.called := "{NAME}"')


def by_id(name: str) -> dict[str, Any]:
    return next(hook for hook in HOOKS if hook["id"] == name)


@pytest.mark.parametrize("hook", HOOKS, ids=lambda hook: hook["id"])
def test_hooks_are_what_pre_commit_takes(hook: dict[str, Any]) -> None:
    assert {"id", "name", "entry", "language"} <= hook.keys() <= KEYS
    assert hook["language"] == "python"
    assert {*hook["types"]} <= {"file", "text"}
    assert isinstance(hook.get("pass_filenames", True), bool)


@pytest.mark.parametrize("hook", HOOKS, ids=lambda hook: hook["id"])
def test_entries_run(hook: dict[str, Any]) -> None:
    name, *words = (word for word in shlex.split(hook["entry"]) if word != "--")
    assert name == "cfgaudit"
    assert main([*words, "--help"]) == 0


def test_the_audit_of_a_project(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT / "samples")
    _, *words = shlex.split(by_id("cfgaudit-audit")["entry"])
    assert run(*words).out.count("audited with cfgaudit") == 3


def private(*files: str | pathlib.Path) -> tuple[int, list[str]]:
    _, *words = shlex.split(by_id("cfgaudit-private")["entry"])
    outcome = run(*words, *files)
    assert NAME.split()[0] not in outcome.out
    return outcome.code, outcome.out.splitlines()


def test_found_by_their_place(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (ROOT / KNOWN_GOOD).read_text("utf-8").replace(*PILOT)
    names = ["otter.txt", "-odd\n\x1b name", "utf-16.txt"]
    monkeypatch.chdir(tmp_path)
    for name in names:
        (tmp_path / name).write_text(text, "utf-16" if name == "utf-16.txt" else "utf-8")
    code, lines = private(*names, ROOT / "README.md")
    line = next(n for n, row in enumerate(text.splitlines(), 1) if NAME in row)
    assert code == 1
    shown = ("otter.txt", "-odd\\n\\x1b name", "utf-16.txt")
    for one, name in zip(lines, shown, strict=True):
        assert one.startswith(f"{name}:{line}:17: pilot.called holds a private value; ")


def test_heron_has_some() -> None:
    code, lines = private(HERON)
    assert code == 1
    assert [line.split(": ")[1].split(" holds")[0] for line in lines] == ["pilot", "radio / pairing"]


def test_silent_on_what_is_none(tmp_path: pathlib.Path) -> None:
    sealed = tmp_path / "baseline.txt"
    sealed.write_text(baseline("otter/known-good.txt", PILOT, key=str(tmp_path / "seal.key")))
    assert "sealed-" in sealed.read_text()
    for n, data in enumerate((b"\0\xff" * 99, b"", b"\xff\xfeq", b"\xfe\xff\xd8")):
        (tmp_path / f"{n}.bin").write_bytes(data)
    files = [*tmp_path.glob("?.*"), ROOT / "README.md", ROOT / "pyproject.toml", ROOT / KNOWN_GOOD, sealed]
    assert private(*files) == (0, [])


def test_a_line_that_is_not_understood(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "otter.txt"
    dump.write_text((ROOT / KNOWN_GOOD).read_text("utf-8").replace(PILOT[0], f"pilot.called {NAME}"))
    code, lines = private(dump)
    assert (code, len(lines)) == (1, 1)
    kept = tmp_path / "kept.txt"
    to = ("--build", str(ROOT / SHEET), "--to", str(kept), "--key", str(tmp_path / "key"))
    assert run("baseline", "record", str(dump), *to).code == 0
    assert "pilot.called" in kept.read_text("utf-8")
    assert private(kept) == (0, [])


def test_a_file_that_is_not_there(tmp_path: pathlib.Path) -> None:
    assert "there is no such file" in refused("baseline", "private", tmp_path / "none.txt")


def test_a_file_that_cannot_be_read_hides_no_private_value(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "named.txt"
    dump.write_text((ROOT / KNOWN_GOOD).read_text("utf-8").replace(*PILOT), "utf-8")
    gone = str(tmp_path / "gone.txt")
    for files in ((str(dump), gone), (gone, str(dump))):
        outcome = run("baseline", "private", *files)
        assert outcome.code == 2
        assert f"{dump}:" in outcome.out
        assert outcome.err.count("\n") == 1
        assert "there is no such file" in outcome.err


@pytest.mark.parametrize(
    ("craft", "line"),
    [
        ("otter", f'~ pilot.called := "{NAME}"'),
        ("otter", f'   ~~ pilot.called := "{NAME}"'),
        ("heron", f'; pilot = "{NAME[:12]}"'),
        ("vole", f"# NAME_OF_PILOT,{NAME}"),
    ],
)
def test_a_line_put_out_of_use_is_in_the_file(tmp_path: pathlib.Path, craft: str, line: str) -> None:
    dump = tmp_path / "dump.txt"
    head, *rest = (ROOT / f"samples/{craft}/known-good.txt").read_text("utf-8").splitlines()
    dump.write_text("\n".join((head, line, *rest, "")), "utf-8")
    code, lines = private(dump)
    assert code == 1
    assert sum(one.startswith(f"{dump}:2:1: ") for one in lines) == 1


def test_a_line_put_out_of_use_in_a_baseline(tmp_path: pathlib.Path) -> None:
    kept = tmp_path / "kept.txt"
    text = baseline("otter/known-good.txt", PILOT, key=str(tmp_path / "seal.key"))
    kept.write_text(f'{text}~ pilot.called := "{NAME}"\n', "utf-8")
    code, lines = private(kept)
    assert code == 1
    assert [one.partition(": ")[0] for one in lines] == [f"{kept}:{len(text.splitlines()) + 1}:1"]
