"""Repositories to work in, away from everybody's settings."""

from __future__ import annotations

import os
import pathlib
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass

import pytest

import cfgaudit
from cfgaudit.baseline.facts import Facts
from cfgaudit.baseline.key import sealer_in
from cfgaudit.baseline.sealed import private_settings, sealed
from cfgaudit.baseline.text import baseline_text
from tests.house.checkout import ROOT

SETTINGS: Mapping[str, str] = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_AUTHOR_NAME": "Wren Alder",
    "GIT_AUTHOR_EMAIL": "wren@trust.example",
    "GIT_COMMITTER_NAME": "Wren Alder",
    "GIT_COMMITTER_EMAIL": "wren@trust.example",
    "GIT_PAGER": "cat",
    "LC_ALL": "C.UTF-8",
    "PYTHONPATH": str(ROOT),  # what git runs for us is this checkout
}


@dataclass
class Repository:
    """A folder of git, the working directory of the test."""

    home: pathlib.Path
    day: int = 0

    def git(self, *arguments: str, code: int | None = 0) -> str:
        """What git says; ``code`` is how it has to end, if that matters."""
        done = subprocess.run(["git", *arguments], cwd=self.home, capture_output=True)
        said = (done.stdout + done.stderr).decode("utf-8", "backslashreplace")
        assert code is None or done.returncode == code, said
        return said

    def commit(self, files: Mapping[str, str | bytes], message: str = "settings") -> str:
        """Write files and commit everything, a day after the last commit."""
        for name, content in files.items():
            file = self.home / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content if isinstance(content, bytes) else content.encode())
        self.git("add", "-A")
        self.day += 1
        when = f"2026-03-{self.day:02}T12:00:00+00:00" if self.day < 29 else ""
        dates = {"GIT_AUTHOR_DATE": when, "GIT_COMMITTER_DATE": when} if when else {}
        with pytest.MonkeyPatch.context() as patch:
            for name, value in dates.items():
                patch.setenv(name, value)
            self.git("commit", "-q", "--allow-empty", "-m", message)
        return self.git("rev-parse", "HEAD").strip()


def repository_in(folder: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Repository:
    """A new one, in which the test stands."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    for name, value in {**SETTINGS, "GIT_CEILING_DIRECTORIES": str(folder), "HOME": str(folder)}.items():
        monkeypatch.setenv(name, value)
    home = folder / "re po"
    home.mkdir()
    monkeypatch.chdir(home)
    made = Repository(home)
    made.git("init", "-q", "-b", "main")
    return made


def baseline(
    sample: str, *steps: tuple[str, str], note: str = "", when: str = "2026-03-01", key: str = ""
) -> str:
    """The baseline of a sample dump in which some texts stand for others."""
    text = (ROOT / "samples" / sample).read_text("utf-8")
    for old, new in steps:
        assert old in text, old
        text = text.replace(old, new)
    reading = cfgaudit.read_dump(sample, data=text.encode())
    private = private_settings(reading)
    facts = Facts(
        "otter", f"{when}T10:00:00+00:00", "0.1.0", "dump.txt", "a" * 64, "no findings", note, private
    )
    return baseline_text(sealed(reading, sealer_in(key, make=True)) if key else reading, facts)
