"""Dumps as git keeps them: REV:path from real repositories."""

from __future__ import annotations

import os
import pathlib
import subprocess
from collections.abc import Callable

import pytest

from cfgaudit.baseline.git import show
from cfgaudit.model.refusal import Refusal
from tests.cli.session import AFTER, BEFORE, HERON, refused, run
from tests.house.checkout import ROOT

OLD, NEW = (ROOT / BEFORE).read_bytes(), (ROOT / AFTER).read_bytes()
HOSTILE = [
    "with blanks.txt",
    'a "quoted" name.txt',
    "it's.txt",
    "-leading.txt",
    "--output=x",
    "Übersicht 漢字.txt",
    "a:b.txt",
    "a\\b.txt",
    "$(touch x);`y`.txt",
    "*?[a].txt",
    "new\nline.txt",
    "\x1b[2J.txt",
    "deep/er/HEAD",
]

Git = Callable[..., str]


@pytest.fixture
def git(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Git:
    """A repository to work in, away from everybody's settings."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    for name, value in {
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_CONFIG_NOSYSTEM": "1",
        "GIT_AUTHOR_NAME": "Wren Alder",
        "GIT_AUTHOR_EMAIL": "wren@trust.example",
        "GIT_COMMITTER_NAME": "Wren Alder",
        "GIT_COMMITTER_EMAIL": "wren@trust.example",
        "GIT_CEILING_DIRECTORIES": str(tmp_path),
        "LC_ALL": "C",
    }.items():
        monkeypatch.setenv(name, value)
    home = tmp_path / "repository"
    home.mkdir()
    monkeypatch.chdir(home)

    def call(*arguments: str) -> str:
        done = subprocess.run(["git", *arguments], check=True, capture_output=True, text=True)
        return done.stdout.strip()

    call("init", "-q", "-b", "main")
    return call


def commit(git: Git, **files: bytes) -> str:
    return commit_all(git, {f"{name}.txt": content for name, content in files.items()})


def commit_all(git: Git, files: dict[str, bytes]) -> str:
    for name, content in files.items():
        file = pathlib.Path(name)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    git("add", "-A")
    git("commit", "-q", "-m", "settings")
    return git("rev-parse", "HEAD")


def test_revisions_by_every_name(git: Git) -> None:
    first = commit(git, otter=OLD)
    git("tag", "flew-well")
    git("branch", "river/spring")
    commit(git, otter=NEW)
    for revision in (first, first[:8], "HEAD~1", "HEAD^", "flew-well", "river/spring", "main~1", "@~1"):
        assert show(f"{revision}:otter.txt") == OLD
    assert show("HEAD:otter.txt") == show("main:otter.txt") == NEW


def test_bytes_come_as_they_are(git: Git) -> None:
    odd = b"\xef\xbb\xbf~ plover\r\n\0\xff\r no end"
    pathlib.Path(".gitattributes").write_text("* text eol=crlf ident\n")
    commit(git, otter=odd)
    kept = odd.replace(b"\r\n", b"\n")  # git's own doing when it took the file in
    assert show("HEAD:otter.txt") == kept


def test_a_comparison_with_the_last_commit(git: Git) -> None:
    commit(git, otter=OLD)
    pathlib.Path("otter.txt").write_bytes(NEW)
    outcome = run("diff", "HEAD:otter.txt", "otter.txt")
    assert (outcome.code, outcome.err) == (1, "")
    assert outcome.out.startswith("HEAD:otter.txt → otter.txt · ")
    assert "otter.txt:46:20" in outcome.out
    assert run("diff", "HEAD:otter.txt", "HEAD:otter.txt").code == 0


def test_an_audit_of_a_commit(git: Git) -> None:
    commit(git, otter=NEW)
    sheet = ROOT / "samples/otter/build.yaml"
    outcome = run("audit", "HEAD:otter.txt", "--build", sheet)
    assert outcome.code == 1
    assert "found     HEAD:otter.txt:46:20" in outcome.out


@pytest.mark.skipif(os.name == "nt", reason="this system allows no such names")
def test_hostile_names(git: Git) -> None:
    commit_all(git, {name: name.encode() + OLD for name in HOSTILE})
    for name in HOSTILE:
        assert show(f"HEAD:{name}") == name.encode() + OLD
    for name in HOSTILE[-3:]:
        outcome = run("diff", f"HEAD:{name}", ROOT / AFTER, "--dialect", "plover")
        assert (outcome.code, outcome.err) == (1, "")
        assert all(line.isprintable() for line in outcome.out.splitlines())
    assert not pathlib.Path("x").exists()


def test_a_name_in_another_encoding(git: Git) -> None:
    name = os.fsdecode(b"stra\xdfe.txt")
    try:
        pathlib.Path(name).write_bytes(OLD)
    except OSError:
        pytest.skip("this file system allows no such names")
    commit(git, otter=OLD)
    assert show(f"HEAD:{name}") == OLD
    assert run("diff", f"HEAD:{name}", "otter.txt").out.startswith("HEAD:stra\\udcdfe.txt → otter.txt")


def test_paths_from_a_subfolder(git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    commit_all(git, {"craft/otter.txt": OLD, "otter.txt": NEW, "craft/only.txt": OLD})
    monkeypatch.chdir("craft")
    assert show("HEAD:craft/otter.txt") == OLD
    assert show("HEAD:otter.txt") == NEW  # as git itself takes it: from the root
    assert show("HEAD:./otter.txt") == OLD
    assert show("HEAD:../otter.txt") == NEW
    assert show("HEAD:only.txt") == OLD  # there is none at the root


def test_a_file_that_is_named_like_a_revision(git: Git) -> None:
    commit(git, otter=OLD)
    pathlib.Path("HEAD:otter.txt").write_bytes(NEW)
    assert run("diff", "HEAD:otter.txt", ROOT / AFTER).code == 0


def test_a_wide_history_is_no_matter(git: Git) -> None:
    commit(git, otter=OLD)
    git("mv", "otter.txt", "heron.txt")
    commit_all(git, {"heron.txt": (ROOT / HERON).read_bytes()})
    assert run("diff", "HEAD~1:otter.txt", ROOT / BEFORE).code == 0
    assert "HEAD:otter.txt:1:1: git cannot show it" in refused("diff", "HEAD:otter.txt", ROOT / BEFORE)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nowhere:otter.txt", "nowhere"),
        ("HEAD~9:otter.txt", "HEAD~9"),
        ("HEAD:other.txt", "other.txt"),
        ("HEAD:craft", "craft"),
        ("HEAD:/etc/passwd", "/etc/passwd"),
        ("HEAD:../../otter.txt", "outside"),
        ("deadbeefdeadbeefdeadbeefdeadbeefdeadbeef:otter.txt", "deadbeef"),
        ("--upload-pack=touch x:otter.txt", "is no revision"),
        ("-:otter.txt", "is no revision"),
        ("HEAD\n:otter.txt", "HEAD"),
    ],
)
def test_what_git_does_not_have(name: str, said: str, git: Git) -> None:
    commit_all(git, {"otter.txt": OLD, "craft/otter.txt": OLD})
    line = refused("diff", "--", name, "otter.txt")
    assert line.startswith(f"{name}:1:1: ".replace("\n", " "))
    assert said in line
    assert "; check the revision and the path" in line or "; name a commit, tag or branch" in line
    assert not pathlib.Path("x").exists()


def test_a_repository_without_commits(git: Git) -> None:
    assert refused("diff", "HEAD:otter.txt", ROOT / AFTER).startswith(
        "HEAD:otter.txt:1:1: git cannot show it ("
    )


def test_no_repository(git: Git, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    line = refused("diff", "HEAD:otter.txt", ROOT / AFTER)
    assert line.startswith("HEAD:otter.txt:1:1: git cannot show it (not a git repository")


def test_git_is_missing(git: Git, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    said = "HEAD:otter.txt:1:1: git is not installed; install it, or give a file"
    assert refused("diff", "HEAD:otter.txt", ROOT / AFTER) == said


def test_git_that_does_not_answer(git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cfgaudit.baseline.git.PATIENCE", 0)
    commit(git, otter=OLD)
    with pytest.raises(Refusal, match="git does not answer"):
        show("HEAD:otter.txt")


def test_a_drive_is_no_revision() -> None:
    assert refused("diff", "C:\\otter.txt", ROOT / AFTER).startswith(
        "C:\\otter.txt:1:1: there is no such file; "
    )
    assert refused("diff", "C:/otter.txt", ROOT / AFTER).startswith(
        "C:/otter.txt:1:1: there is no such file; "
    )
    assert refused("diff", ":otter.txt", ROOT / AFTER).startswith(":otter.txt:1:1: there is no such file; ")


def test_a_build_sheet_from_git(git: Git) -> None:
    for name, file in {"build.yaml": "samples/otter/build.yaml", "dump.txt": AFTER}.items():
        pathlib.Path(name).write_bytes((ROOT / file).read_bytes())
    git("add", "-A")
    git("commit", "-qm", "first")
    pathlib.Path("build.yaml").write_text("craft: otter\n")
    outcome = run("audit", "dump.txt", "--build", "HEAD:build.yaml", "--no-why")
    assert outcome.code == 1
    assert "HEAD:build.yaml:82:31" in outcome.out
    assert "cannot show it" in refused("audit", "dump.txt", "--build", "HEAD:nowhere.yaml")
