"""git, told how to compare and to merge baselines: what it then shows, and what it never may."""

from __future__ import annotations

import os
import pathlib
import re
import shlex
import sys

import pytest

from cfgaudit.baseline.setup import attribute_line, pattern_of, steps, take
from cfgaudit.model.refusal import Refusal
from tests.baseline.repository import Repository, baseline, repository_in
from tests.cli.session import refused, run
from tests.house.checkout import ROOT

OTTER, HERON = "otter/known-good.txt", "heron/known-good.txt"
WARN, FULL = ("volts.warn := 350", "volts.warn := 355"), ("volts.full := 420", "volts.full := 430")
HOSTILE = [
    'a "quoted" it\'s name.txt',
    "-leading.txt",
    "-",
    "#remark.txt",
    "!not.txt",
    "Übersicht 漢字.txt",
    "a:b\\c.txt",
    "$(touch x);`y`.txt",
    "*?[a].txt",
    "new\nline\t\x1b[2J.txt",
    "deep/er/100%A%P",
]


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Repository:
    return repository_in(tmp_path, monkeypatch)


def set_up(*patterns: str) -> None:
    outcome = run("baseline", "git-setup", "--write", *(f"--pattern={one}" for one in patterns))
    assert (outcome.code, outcome.err) == (0, "")


def changed(text: str) -> list[str]:
    """The lines of a diff that are not as they were, each as its words."""
    rows = [line for line in text.splitlines() if line[:1] in ("+", "-") and line[:3] not in ("+++", "---")]
    return [" ".join(line.split()) for line in rows]


def test_a_difference_is_told_in_settings(here: Repository) -> None:
    set_up("*.txt")
    here.commit({"otter.txt": baseline(OTTER, note="as built")})
    here.commit({"otter.txt": baseline(OTTER, WARN, ("pin C8", "pin C9"), note="C8 is burnt")}, "repaired")
    told = [
        "-note as built",
        "+note C8 is burnt",
        "-battery warns at 3.5 V per cell volts.warn",
        "+battery warns at 3.55 V per cell volts.warn",
        "-motor 3 pin PC8 out 3",
        "+motor 3 pin PC9 out 3",
    ]
    for asked in (["diff", "HEAD~1"], ["log", "-p", "-1"], ["show"], ["diff", "HEAD~1", "HEAD"]):
        assert changed(here.git(*asked)) == told, asked
    (here.home / "otter.txt").write_text(
        baseline(OTTER, FULL, WARN, ("pin C8", "pin C9"), note="C8 is burnt")
    )
    assert changed(here.git("diff")) == [
        "-battery full at 4.2 V per cell volts.full",
        "+battery full at 4.3 V per cell volts.full",
    ]
    assert "@@ outputs\n" in here.git("show")


def test_a_change_of_one_setting_changes_one_line(here: Repository) -> None:
    long = ("weirs and culverts, second frame", "weirs, culverts and " + "reeds " * 9)
    before, after = here.home / "a.txt", here.home / "b.txt"
    before.write_text(baseline(OTTER))
    after.write_text(baseline(OTTER, long))
    one, other = (run("baseline", "show", file).out.splitlines() for file in (before, after))
    assert len(one) == len(other)
    assert sum(a != b for a, b in zip(one, other, strict=True)) == 1


def test_what_cannot_be_read_does_not_stop_git(here: Repository) -> None:
    set_up("*")
    texts = [
        b"no dump\x1b[2J\n",
        b"\xff\xfe\0a",
        b"\0\1\2" * 99,
        b"",
        baseline(OTTER).encode(),
        b"~ plover 4",
    ]
    for text in texts:
        here.commit({"otter.txt": text})
    said = here.git("log", "-p", "--text")
    assert said.count("cfgaudit cannot read this: ") >= 4
    assert "\x1b" not in said
    assert "\\x1b[2J" in said
    (here.home / "otter.txt").unlink()
    here.git("diff")


def test_a_tool_that_is_gone_does_not_stop_git(here: Repository) -> None:
    take(str(here.home), steps(str(here.home), ["*.txt"], "/no such/python"))
    here.commit({"otter.txt": baseline(OTTER)})
    here.commit({"otter.txt": baseline(OTTER, WARN)})
    assert changed(here.git("log", "-p", "-1")) == ["-volts.warn := 350", "+volts.warn := 355"]
    fork(here, baseline(OTTER, WARN, ("stick.low := 1050", "stick.low := 1060")), baseline(OTTER, WARN, FULL))
    here.git("merge", "side", "-m", "both")
    assert "volts.full := 430" in (here.home / "otter.txt").read_text()


@pytest.mark.parametrize("folder", ["ve nv", "it's", '"q"', "$HOME`x`", "100%A %P", "ü"])
def test_a_python_with_an_odd_path(here: Repository, tmp_path: pathlib.Path, folder: str) -> None:
    python = tmp_path / folder / "python"
    python.parent.mkdir()
    python.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} "$@"\n')
    python.chmod(0o755)
    take(str(here.home), steps(str(here.home), ["*.txt"], str(python)))
    here.commit({"otter.txt": baseline(OTTER)})
    fork(here, baseline(OTTER, WARN), baseline(OTTER, FULL))
    assert changed(here.git("show"))[-1] == "+battery warns at 3.55 V per cell volts.warn"
    here.git("merge", "side", "-m", "both")
    assert "volts.full := 430\nvolts.warn := 355\n" in (here.home / "otter.txt").read_text()


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names(here: Repository, name: str) -> None:
    (here.home / "cfgaudit.yaml").write_text("")
    set_up(pattern_of(os.path.join(os.curdir, name), str(here.home)))
    here.commit({name: baseline(OTTER), f"other/{name}": "plain\n"})
    fork(here, baseline(OTTER, WARN), baseline(OTTER, FULL), name)
    assert changed(here.git("show"))[-1] == "+battery warns at 3.55 V per cell volts.warn"
    here.git("merge", "side", "-m", "both")
    assert "volts.full := 430\nvolts.warn := 355\n" in (here.home / name).read_text()
    (here.home / "other" / name).write_text("volts.warn := 1\n")
    (here.home / name).write_text(baseline(OTTER))
    said = changed(here.git("diff"))
    assert "+volts.warn := 1" in said  # the pattern means one file alone
    assert "+battery warns at 3.5 V per cell volts.warn" in said
    assert not (here.home / "x").exists()


def test_a_folder_of_our_name_is_not_run(here: Repository) -> None:
    set_up("*.txt")
    here.commit({"otter.txt": baseline(OTTER), "cfgaudit/__init__.py": "open('trap', 'w')\n"})
    here.git("show")
    assert not (here.home / "trap").exists()


def test_private_values_are_not_shown(here: Repository, tmp_path: pathlib.Path) -> None:
    set_up("*.txt")
    key = str(tmp_path / "seal.key")
    names = ("Odette Marsh", "Bertil Fenn")
    steps = [('pilot.called := ""', f'pilot.called := "{name}"') for name in names]
    here.commit({"otter.txt": baseline(OTTER, steps[0], key=key), "raw.txt": baseline(OTTER, steps[0])})
    here.commit({"otter.txt": baseline(OTTER, steps[1], key=key), "raw.txt": baseline(OTTER, steps[1])})
    said = here.git("log", "-p")
    assert "(private, sealed …" in said
    assert "(private, not shown)" in said
    assert not [name for name in names if name.split()[0] in said]
    gone, come = changed(here.git("show", "--", "otter.txt"))
    assert gone.startswith("-pilot name (private, sealed …")
    assert gone[1:] != come[1:]


def fork(here: Repository, mine: str, other: str, name: str = "otter.txt") -> None:
    """Two branches from here, ``main`` with one text and ``side`` with the other."""
    here.git("branch", "-f", "side")
    here.git("checkout", "-q", "side")
    here.commit({name: other}, "theirs")
    here.git("checkout", "-q", "main")
    here.commit({name: mine}, "ours")


def test_two_branches_that_agree(here: Repository) -> None:
    set_up("*.txt")
    here.commit({"otter.txt": baseline(OTTER)})
    fork(
        here,
        baseline(
            OTTER, WARN, ("u6 does 0x10 at 115200", "u6 does 0x10 at 57600"), note="mine", when="2026-03-02"
        ),
        baseline(OTTER, FULL, ("u6 does 0x10", "u6 does 0x11"), note="theirs", when="2026-03-03"),
    )
    here.git("merge", "side", "-m", "both")
    text = (here.home / "otter.txt").read_text()
    assert "volts.full := 430\nvolts.warn := 355\n" in text
    assert "link u6 does 0x11 at 57600\n" in text
    assert "~ baseline note: mine; theirs\n" in text
    assert "~ baseline audited: not audited since two records were merged\n" in text
    assert here.git("status", "--porcelain") == ""


def test_two_branches_that_do_not(here: Repository) -> None:
    set_up("*.txt")
    (here.home / ".gitattributes").write_text("*.txt diff=cfgaudit merge=cfgaudit conflict-marker-size=11\n")
    here.commit({"otter.txt": baseline(OTTER)})
    fork(here, baseline(OTTER, WARN, FULL), baseline(OTTER, ("volts.warn := 350", "volts.warn := 340")))
    said = here.git("merge", "side", "-m", "both", code=1)
    assert "otter.txt: both sides changed one line differently; keep one side between the marks" in said
    assert "CONFLICT (content): Merge conflict in otter.txt" in said
    marked = f"{'<' * 11} ours\nvolts.warn := 355\n{'=' * 11}\nvolts.warn := 340\n{'>' * 11} theirs\n"
    assert f"volts.full := 430\n{marked}" in (here.home / "otter.txt").read_text()
    assert here.git("diff", "--name-only", "--diff-filter=U").strip() == "otter.txt"


def test_two_branches_that_both_began_it(here: Repository) -> None:
    set_up("*.txt")
    here.commit({"other.txt": "x"})
    fork(here, baseline(OTTER, WARN), baseline(OTTER))
    here.git("merge", "side", "-m", "both", code=1)
    assert (here.home / "otter.txt").read_text().count("<<<<<<<") == 1


@pytest.mark.parametrize(
    "texts",
    [
        ("a\nb\nc\nd\n", "a2\nb\nc\nd\n", "a\nb\nc\nd2\n"),
        (baseline(OTTER), baseline(OTTER, ("plover 4.1.2", "plover 4.1.3")), baseline(OTTER, WARN)),
        (baseline(OTTER), baseline(OTTER).replace("~ baseline of", "~ base of"), baseline(OTTER, WARN)),
    ],
    ids=["plain", "version", "facts"],
)
def test_what_is_left_to_git(here: Repository, texts: tuple[str, str, str]) -> None:
    set_up("*.txt")
    base, mine, other = texts
    here.commit({"otter.txt": base})
    fork(here, mine, other)
    said = here.git("merge", "side", "-m", "both")
    assert "otter.txt: merged line by line by git: " in said
    before = [*base.splitlines()]
    text = (here.home / "otter.txt").read_text()
    for side in (mine, other):
        assert all(line in text.splitlines() for line in side.splitlines() if line not in before)


def test_binaries_are_left_alone(here: Repository) -> None:
    set_up("*.txt")
    here.commit({"otter.txt": b"\0a" * 50})
    fork(here, "\0b" * 50, "\0c" * 50)
    here.git("merge", "side", "-m", "both", code=1)
    assert (here.home / "otter.txt").read_bytes() == b"\0b" * 50


def test_it_is_written_once(here: Repository) -> None:
    old = "*.png binary\r\n*.txt text"
    (here.home / ".gitattributes").write_bytes(old.encode())
    here.git("config", "diff.cfgaudit.textconv", "an old one")
    here.git("config", "core.whitespace", "cr-at-eol")
    shown = run("baseline", "git-setup", "--pattern", "base lines/*.txt")
    assert (here.home / ".gitattributes").read_bytes() == old.encode()
    assert '    "base lines/*.txt" diff=cfgaudit merge=cfgaudit\n' in shown.out
    assert here.git("config", "diff.cfgaudit.textconv") == "an old one\n"
    first = run("baseline", "git-setup", "--write", "--pattern", "base lines/*.txt")
    assert "    diff.cfgaudit.textconv, which was an old one\n" in first.out
    text, config = (here.home / ".gitattributes").read_bytes(), (here.home / ".git/config").read_bytes()
    assert text == f'{old}\r\n"base lines/*.txt" diff=cfgaudit merge=cfgaudit\r\n'.encode()
    again = run("baseline", "git-setup", "--write", "--pattern", "base lines/*.txt")
    assert again.out == "Nothing was to be done: git is set up for these files here.\n"
    assert (here.home / ".gitattributes").read_bytes() == text
    assert (here.home / ".git/config").read_bytes() == config


def test_the_commands_that_are_shown_do_the_same(here: Repository) -> None:
    lines = run("baseline", "git-setup", "--pattern", "*.txt").out.splitlines()
    for line in lines:
        if line.startswith("    git config "):
            here.git(*shlex.split(line)[1:])
    again = run("baseline", "git-setup", "--pattern", "*.txt").out
    assert "git config" not in again.replace("git's config", "")


def test_the_baselines_of_the_project(here: Repository, monkeypatch: pytest.MonkeyPatch) -> None:
    (here.home / "craft").mkdir()
    (here.home / "craft/cfgaudit.yaml").write_text(
        "craft:\n"
        "  otter: {build: otter.yaml, baseline: known good/otter.txt}\n"
        "  heron: {build: heron.yaml, baseline: heron.txt}\n"
        "  vole: {build: vole.yaml, baseline: ../../vole.txt}\n"
    )
    monkeypatch.chdir(here.home / "craft")
    outcome = run("baseline", "git-setup", "--write")
    assert outcome.err == "../../vole.txt is not in this repository, and left out\n"
    assert (here.home / ".gitattributes").read_text() == (
        '"/craft/known good/otter.txt" diff=cfgaudit merge=cfgaudit\n'
        "/craft/heron.txt diff=cfgaudit merge=cfgaudit\n"
    )


def test_refusals(here: Repository, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "the project file names no baseline" in refused("baseline", "git-setup")
    assert "git takes no pattern '!x' here" in refused("baseline", "git-setup", "--pattern", "!x")
    (here.home / ".gitattributes").symlink_to("elsewhere")
    line = refused("baseline", "git-setup", "--write", "--pattern", "*.txt")
    assert "git does not follow a link here" in line
    monkeypatch.chdir(tmp_path)
    line = refused("baseline", "git-setup", "--write", "--pattern", "*.txt")
    assert line.startswith("this folder is in no repository with a working tree; ")


def test_patterns() -> None:
    assert attribute_line("a b") == '"a b" diff=cfgaudit merge=cfgaudit'
    assert attribute_line("#a") == '"#a" diff=cfgaudit merge=cfgaudit'
    with pytest.raises(Refusal):
        attribute_line("")


def test_a_file_that_is_not_there(here: Repository) -> None:
    assert refused("baseline", "show", "no.txt").endswith(
        "there is no such file; check the name and the folder"
    )


def test_line_ends_stay(here: Repository) -> None:
    base = baseline(OTTER)
    texts = {
        "base": base,
        "ours": baseline(OTTER, WARN).replace("\n", "\r\n"),
        "theirs": baseline(OTTER, FULL),
    }
    for name, text in texts.items():
        (here.home / name).write_bytes(text.encode())
    assert run("baseline", "merge", "base", "ours", "theirs").code == 0
    merged = (here.home / "ours").read_bytes()
    assert b"volts.full := 430\r\nvolts.warn := 355\r\n" in merged
    assert merged.count(b"\n") == merged.count(b"\r\n")


@pytest.mark.parametrize("folder", ["", "fleet/"])
def test_a_dialect_of_the_project(here: Repository, folder: str) -> None:
    def own(text: str) -> str:
        return text.replace("plover 4.1.2", "wren 4.1.2")

    grammar = (ROOT / "grammars/plover.yaml").read_text("utf-8")
    grammar = re.sub(r"^dialect: plover$", "dialect: wren", grammar, flags=re.MULTILINE)
    project = "craft:\n  otter: {build: otter.yaml, dialect: wren.yaml, baseline: otter.txt}\n"
    name = f"{folder}otter.txt"
    files = {f"{folder}wren.yaml": grammar.replace('"plover {', '"wren {'), f"{folder}cfgaudit.yaml": project}
    set_up("*.txt")
    here.commit({**files, name: own(baseline(OTTER))}, "begin")
    fork(here, own(baseline(OTTER, WARN)), own(baseline(OTTER, FULL)), name)
    said = here.git("merge", "side", "-m", "both")
    assert "line by line" not in said
    assert "volts.full := 430\nvolts.warn := 355\n" in (here.home / name).read_text()
    outcome = run("history", "battery.cell_warn_v", "--file", name)
    assert "3.5 → 3.55 V per cell" in outcome.out
    if not folder:  # git says nothing of where a text comes from that it has listed
        assert changed(here.git("show", "side"))[-1] == "+battery full at 4.3 V per cell volts.full"
