"""The README's story of a firmware that nothing knows, told again: commands run, excerpts are real."""

from __future__ import annotations

import pathlib
import re
import shlex
import shutil

import pytest

from tests.cli.session import run
from tests.house.checkout import ROOT

TITLE = "## Your own firmware\n"
FENCED = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
DRAFT = pathlib.Path("dabchick.yaml")


def test_the_story(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "samples/teach", tmp_path / "samples/teach")
    monkeypatch.chdir(tmp_path)
    section = (ROOT / "README.md").read_text("utf-8").partition(TITLE)[2].partition("\n## ")[0]
    said, drafted = "", ""
    shown = []
    for kind, block in FENCED.findall(section):
        if kind != "sh":
            shown.append((kind, block))
            continue
        for line in block.splitlines():
            _, *rest = shlex.split(line)
            outcome = run(*rest)
            assert outcome.code == (1 if rest[0] == "audit" else 0), outcome
            said += outcome.out
            drafted = drafted or DRAFT.read_text("utf-8")
    excerpts = {kind: [block for one, block in shown if one == kind] for kind in ("yaml", "text")}
    assert len(excerpts["yaml"]) == 2
    for block in excerpts["yaml"]:
        assert block in drafted
    lesson, findings = excerpts["text"]
    assert lesson in said
    for line in findings.splitlines():
        assert f"{line}\n" in said
    assert run("dialect", "check", str(DRAFT)).code == 0
