"""The README's story of baselines in git, told again in a repository."""

from __future__ import annotations

import os
import pathlib
import re

import pytest

from tests.baseline.repository import Repository, baseline, repository_in
from tests.cli.session import run
from tests.house.checkout import ROOT

README = ROOT / "README.md"
TITLE = "**In git.** "
FENCED = re.compile(r"^```text\n\$ (.*?)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
HASH = re.compile(r"\b[0-9a-f]{7}\b")
FILE = "baselines/otter.txt"
PROJECT = f"craft:\n  otter: {{build: otter.yaml, dump: otter.txt, baseline: {FILE}}}\n"


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Repository:
    made = repository_in(tmp_path, monkeypatch)
    (made.home / "cfgaudit.yaml").write_text(PROJECT)
    assert run("baseline", "git-setup", "--write").code == 0
    warn = ("volts.warn := 350", "volts.warn := 355")
    pins = [("out 3 turns m3 pin C8", f"out 3 turns m3 pin C{n}") for n in (9, 6)]
    made.commit({FILE: baseline("otter/known-good.txt", note="flew well at the weir")}, "otter as built")
    text = baseline("otter/known-good.txt", warn, note="flew well at the weir")
    made.commit({FILE: text}, "older packs: warn earlier")
    made.git("checkout", "-q", "-b", "test-bench")
    made.commit({FILE: baseline("otter/known-good.txt", pins[1])}, "M3 on the spare pad")
    made.git("checkout", "-q", "main")
    repaired = {"note": "pad C8 is burnt, motor 3 is on C9", "when": "2026-03-03"}
    made.commit({FILE: baseline("otter/known-good.txt", warn, pins[0], **repaired)}, "repaired")
    return made


def printed(here: Repository, command: str) -> str:
    """What a command says; of git's two streams together."""
    first, *rest = command.split()
    if first == "git":
        return here.git(*rest, code=None)
    return run(*rest).out


def as_kept(text: str) -> str:
    """A text without what hangs on the length of the whole: the names of commits and objects."""
    return "".join(f"{line}\n" for line in HASH.sub("0" * 7, text).splitlines()).rstrip("\n")


def test_the_examples(here: Repository) -> None:
    text = README.read_text("utf-8")
    section = text.partition(TITLE)[2].partition("\n## ")[0]
    found = [*FENCED.finditer(section)]
    assert len(found) >= 3
    renewed = section
    for one in found:
        real = printed(here, one[1])
        if as_kept(one[2]) != as_kept(real):
            assert os.environ.get("RENEW_SNAPSHOTS"), f"{one[1]}\n{real}"
            renewed = renewed.replace(one[0], f"```text\n$ {one[1]}\n{real}```")
    if renewed != section:
        README.write_text(text.replace(section, renewed), "utf-8")
        pytest.fail("README.md was renewed: read the difference")
