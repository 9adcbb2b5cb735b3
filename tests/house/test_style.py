"""Format, lint and types, as tests, so that `pytest` alone runs everything."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.house.checkout import ROOT


@pytest.mark.parametrize(
    "command",
    [("ruff", "format", "--check", "."), ("ruff", "check", "."), ("mypy", "--strict", "cfgaudit")],
    ids=" ".join,
)
def test_style(command: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
