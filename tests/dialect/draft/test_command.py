"""The command: to standard output or to a new file, never over one; faults in one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from cfgaudit.cli.dialect_draft import draft_command
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from tests.dialect.draft.drafted import SAMPLES

KNOWN, SHEET = str(SAMPLES / "teach" / "known-good.txt"), str(SAMPLES / "teach" / "build.yaml")


def run(*arguments: str) -> str:
    result = CliRunner().invoke(draft_command, arguments, standalone_mode=False)
    if result.exception:
        raise result.exception
    assert result.return_value == 0
    return result.output


def test_to_standard_output() -> None:
    text = run(KNOWN)
    assert own_dialect(read_yaml(text, "draft.yaml")).name == "dabchick"
    assert "ports" not in {line.split(".")[0].strip(' "') for line in text.splitlines()}


def test_to_a_new_file(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    said = run(KNOWN, "--build", SHEET, "--out", str(file))
    assert "meanings settled" in said
    assert '"ports.{n}.functions"' in file.read_text("utf-8")


def test_never_over_a_file(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text("precious")
    with pytest.raises(Refusal, match="there already"):
        run(KNOWN, "--out", str(file))
    assert file.read_text() == "precious"


@pytest.mark.parametrize(
    "arguments",
    [
        ["no-such.txt"],
        [KNOWN, "--build", "no-such.yaml"],
        [KNOWN, "--out", "no/such/folder/x.yaml"],
        [KNOWN, "--build", KNOWN],
    ],
)
def test_faults_are_refusals(arguments: list[str]) -> None:
    with pytest.raises(Refusal):
        run(*arguments)
