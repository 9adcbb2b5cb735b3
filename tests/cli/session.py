"""Runs the command line as a user would, in this process or as a process of its own."""

from __future__ import annotations

import contextlib
import io
import os
import pathlib
import subprocess
import sys
from dataclasses import dataclass
from unittest import mock

from cfgaudit.cli.main import main
from tests.house.checkout import ROOT

AFTER, BEFORE, SHEET = "samples/otter/after.txt", "samples/otter/before.txt", "samples/otter/build.yaml"
PRESET, TYPED = "samples/otter/preset.txt", "samples/otter/after-preset.txt"
KNOWN_GOOD = "samples/otter/known-good.txt"
HERON, HERON_SHEET = "samples/heron/known-good.txt", "samples/heron/build.yaml"
VOLE, VOLE_SHEET = "samples/vole/faulty.txt", "samples/vole/build.yaml"


@dataclass(frozen=True)
class Outcome:
    """What a run left behind."""

    code: int
    out: str
    err: str


def run(*arguments: str | pathlib.Path, stdin: bytes = b"") -> Outcome:
    """Run a command in this process."""
    out, err = io.StringIO(), io.StringIO()
    given = io.TextIOWrapper(io.BytesIO(stdin))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), mock.patch("sys.stdin", given):
        code = main([str(one) for one in arguments])
    return Outcome(code, out.getvalue(), err.getvalue())


def refused(*arguments: str | pathlib.Path, stdin: bytes = b"") -> str:
    """The one line with which a run ends that could not do its work; nothing else was written."""
    outcome = run(*arguments, stdin=stdin)
    assert (outcome.code, outcome.out) == (2, ""), outcome
    line = outcome.err.removesuffix("\n")
    assert line != outcome.err
    assert line.isprintable(), outcome.err
    return line


def process(
    *arguments: str | pathlib.Path,
    stdin: bytes = b"",
    cwd: pathlib.Path = ROOT,
    env: dict[str, str] | None = None,
) -> subprocess.CompletedProcess[bytes]:
    """Run a command as a process of its own, as a shell would."""
    return subprocess.run(
        [sys.executable, "-m", "cfgaudit", *map(str, arguments)],
        input=stdin,
        cwd=cwd,
        env=surroundings(env),
        capture_output=True,
        timeout=60,
    )


def surroundings(more: dict[str, str] | None = None) -> dict[str, str]:
    """The environment of a process: this one's, with the checkout to import from and no word on colour."""
    mine = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "TERM")}
    return {**mine, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", **(more or {})}
