"""What a user can get wrong: exit code 2, one line that says what, where and how to mend it."""

from __future__ import annotations

import errno
import os
import pathlib
import stat
from typing import Any

import pytest

from tests.cli.session import AFTER, BEFORE, HERON, SHEET, refused, run

RULE = """\
- id: mine/craft
  level: note
  title: The craft is not otter
  needs: [build.craft]
  expect: build.craft == "otter"
  say: "The craft is {build.craft}."
  why: Because.
  basis: common practice
  cases:
    - fails: {build: {craft: heron}, says: heron}
"""


def test_exit_codes() -> None:
    audit = ("audit", AFTER, "--build", SHEET)
    assert run(*audit).code == 1
    assert run(*audit, "--fail-at", "never").code == 0
    assert run(*audit, "--fail-at", "error").code == 1
    assert run("audit", "samples/otter/known-good.txt", "--build", SHEET, "--fail-at", "note").code == 0
    assert run("diff", BEFORE, AFTER).code == 1
    assert run("diff", AFTER, AFTER).code == 0
    assert run("explain", "serial/job-on-wrong-port").code == 0
    assert run("rules", "list").code == 0
    assert run("--version").code == 0


@pytest.mark.parametrize("level", ["warning", "note"])
def test_the_level_decides(level: str, tmp_path: pathlib.Path) -> None:
    (tmp_path / "mine.yaml").write_text(RULE.replace("note", level))
    audit = ("audit", HERON, "--build", "samples/heron/build.yaml", "--rules", tmp_path)
    assert "The craft is heron." in run(*audit).out
    assert run(*audit, "--fail-at", "error").code == 0
    assert run(*audit, "--fail-at", "warning").code == (level == "warning")
    assert run(*audit, "--fail-at", "note").code == 1


# Dumps


@pytest.mark.parametrize(
    "command", [("audit", "--build", SHEET), ("diff", AFTER), ("diff", AFTER, "--dialect", "plover")]
)
def test_a_dump_that_is_not_there(command: tuple[str, ...], tmp_path: pathlib.Path) -> None:
    missing = tmp_path / "none.txt"
    assert (
        refused(*command, missing) == f"{missing}:1:1: there is no such file; check the name and the folder"
    )


@pytest.mark.parametrize("name", ["x" * 5000, "HEAD:" + "x" * 5000, "a\0b", "HEAD:\0", f"{AFTER}/x"])
def test_a_name_that_no_file_can_have(name: str) -> None:
    assert ":1:1: " in refused("audit", name, "--build", SHEET)
    assert ":1:1: " in refused("audit", AFTER, "--build", name)
    assert refused("audit", AFTER, "--build", SHEET, "--rules", name).startswith("no rules in ")


def test_a_name_that_is_empty() -> None:
    """As of a variable of the shell that is not set."""
    assert refused("audit", "", "--build", SHEET).startswith("no dump is named")
    assert refused("audit", AFTER, "--build", "").startswith("no build sheet is named")
    assert refused("audit", AFTER, "--build", SHEET, "--rules", "").startswith("no rules in ")


def test_a_name_with_control_characters_is_written_out() -> None:
    assert refused("audit", "a\x1b[2J\nb", "--build", SHEET).startswith("a\\x1b[2J b:1:1: there is no such")


def test_a_folder() -> None:
    assert (
        refused("audit", "samples", "--build", SHEET) == "samples:1:1: this is a folder; name the dump in it"
    )
    assert refused("audit", AFTER, "--build", "samples").startswith("samples:1:1: this is a folder; ")
    assert refused("audit", AFTER, "--build", SHEET, "--dialect", "x/y.yaml").startswith("x/y.yaml:1:1: ")


@pytest.mark.parametrize(
    ("code", "said"), [(errno.EACCES, "may not be read"), (errno.EIO, "cannot be read")], ids=str
)
@pytest.mark.parametrize("file", [AFTER, SHEET])
def test_a_file_that_cannot_be_read(file: str, code: int, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    real = open

    def guarded(name: Any, *more: Any, **others: Any) -> Any:
        if name == file:
            raise OSError(code, os.strerror(code))
        return real(name, *more, **others)

    monkeypatch.setattr("builtins.open", guarded)
    line = refused("audit", AFTER, "--build", SHEET)
    assert line.startswith(f"{file}:1:1: ")
    assert said in line


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(tmp_path: pathlib.Path) -> None:
    closed = tmp_path / "closed.txt"
    closed.write_text("~ plover\n")
    closed.chmod(0)
    assert "may not be read" in refused("audit", closed, "--build", SHEET)


@pytest.mark.parametrize(
    "content",
    [b"\0\1\2\xff\xfe\x80" * 50, b"\x7fELF\x02\x01\x01", b"name,value\n", b"~ plover\n"],
    ids=["binary", "program", "table", "half a header"],
)
def test_a_dump_that_no_dialect_knows(content: bytes, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_bytes(content)
    line = refused("audit", dump, "--build", SHEET)
    assert line.startswith(f"{dump}:1:1: no dialect knows this dump")
    assert "--dialect" in line
    assert line == refused("diff", AFTER, dump)
    assert "-:1:1: no dialect knows this dump" in refused("audit", "-", "--build", SHEET, stdin=content)


@pytest.mark.parametrize("content", [b"", b"\n \r\n"], ids=["empty", "blank"])
def test_a_dump_that_is_empty(content: bytes, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_bytes(content)
    line = refused("audit", dump, "--build", SHEET)
    assert line == f"{dump}:1:1: this file is empty; dump everything again into it"
    assert line == refused("diff", AFTER, dump)
    assert "-:1:1: this file is empty" in refused("audit", "-", "--build", SHEET, stdin=content)


def test_a_dump_in_utf_16(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_text("~ plover 4.1.2 / Reed-405 / x / everything\n", encoding="utf-16")
    assert (
        refused("audit", dump, "--build", SHEET)
        == f"{dump}:1:1: the dump is UTF-16 text; save it again as UTF-8"
    )


def test_a_dump_that_is_too_large(tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    with dump.open("wb") as file:
        file.truncate(65 * 1024 * 1024)
    assert refused("audit", dump, "--build", SHEET).startswith(f"{dump}:1:1: the dump is larger than 64 MB; ")


def test_standard_input_twice() -> None:
    assert refused("diff", "-", "-") == "standard input cannot be both A and B; name a file for one of them"


def test_standard_input_that_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.cli.session.io.TextIOWrapper", lambda given: None)
    assert refused("audit", "-", "--build", SHEET).startswith("-:1:1: standard input is closed; ")


# Build sheets


@pytest.mark.parametrize(
    ("sheet", "place", "said"),
    [
        ("craft: [otter\n", "1:8", "this is not YAML"),
        ("craft: otter\n\tclass: quad\n", "2:1", "this is not YAML"),
        ("craft: otter\ncraft: heron\n", "2:1", "the key 'craft' is written twice"),
        ("", "1:1", "this file is empty"),
        ("just words\n", "1:1", "single value"),
        ("craft: otter\n---\ncraft: heron\n", "2:1", "second document"),
        ("craft: otter\ndevises: []\n", "2:1", "did you mean 'devices'?"),
        ("craft: otter\nmotors: {kv: fast}\n", "2:14", "motors.kv is 'fast', where a number must be"),
        ("craft: otter\ndevices:\n  - receiver: {port: UART1, rate_baud: many}\n", "3:40", "rate_baud"),
        ("craft: 'otter\n", "1:8", "close the quote"),
        ("craft: &a [*a]\n", "1:12", "stands inside what it stands for"),
        ("craft: !!python/object:os.system x\n", "1:8", "tag"),
        ("esc: {cells: [6, 3]}\n", "1:14", "upside down"),
        ("craft: o\x07tter\n", "1:9", "U+0007"),
    ],
)
def test_a_build_sheet_with_a_fault(sheet: str, place: str, said: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text(sheet)
    line = refused("audit", AFTER, "--build", file)
    assert line.startswith(f"{file}:{place}: ")
    assert said in line


@pytest.mark.parametrize("data", [b"craft: \xff\n", b"\0", b"\xff\xfec\0"])
def test_a_build_sheet_that_is_no_text(data: bytes, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_bytes(data)
    assert refused("audit", AFTER, "--build", file).startswith(f"{file}:1:")


# Rules


def test_a_folder_without_rules(tmp_path: pathlib.Path) -> None:
    said = f"no rules in {tmp_path}; name a folder that holds .yaml files with rules"
    assert refused("audit", AFTER, "--build", SHEET, "--rules", tmp_path) == said
    assert refused("rules", "check", tmp_path) == said
    assert refused("rules", "list", "--rules", tmp_path) == said
    assert refused("explain", "a/b", "--rules", tmp_path) == said
    assert refused("rules", "check", SHEET).startswith(f"no rules in {SHEET}; ")


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        ("level: note", "level: loud", "2:10", "'loud'"),
        ("id: mine/craft", "id: Mine", "1:7", "'Mine'"),
        ('== "otter"', "== ", "5:25", "Syntax error"),
        ('== "otter"', "== crafty", "5:26", "crafty"),
        ("{build.craft}.", "{build.craft.", "6:22", "does not close"),
        ("fails", "holds", "1:3", "no case that fails"),
        ("needs: [build.craft]", "each: build.devices", "4:9", "is no loop"),
        ("needs: [build.craft]", "neds: [build.craft]", "4:3", "did you mean 'needs'?"),
        ("id: mine/craft", "id: serial/job-on-wrong-port", "1:3", "is also at"),
        ("why: Because.", "why: [", "7:8", "this is not YAML"),
        ("why: Because.", "why: x\n  never_accept: true", "8:17", "write why nobody may accept"),
    ],
)
def test_a_rule_with_a_fault(old: str, new: str, place: str, said: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "mine.yaml"
    assert RULE.count(old) == 1
    file.write_text(RULE.replace(old, new))
    line = refused("audit", AFTER, "--build", SHEET, "--rules", tmp_path)
    assert line.startswith(f"{file}:{place}: ")
    assert said in line
    assert line == refused("rules", "check", tmp_path)


def test_a_rule_that_answers_wrongly_is_found_not_a_fault(tmp_path: pathlib.Path) -> None:
    (tmp_path / "mine.yaml").write_text(RULE.replace("says: heron", "says: swan"))
    outcome = run("rules", "check", tmp_path)
    assert (outcome.code, outcome.err) == (1, "")
    assert f"{tmp_path}/mine.yaml:10:14: mine/craft says " in outcome.out
    assert outcome.out.endswith("1 wrong\n")


def test_an_unknown_rule() -> None:
    assert refused("explain", "serial/job-on-wrong-prot") == (
        "there is no rule serial/job-on-wrong-prot; did you mean serial/job-on-wrong-port?"
    )
    assert refused("explain", "zzz") == "there is no rule zzz; cfgaudit rules list names them all"
    assert refused("explain", "\x1b]0;x\x07").startswith("there is no rule \\x1b]0;x\\x07; ")


# The command line itself


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["audti"], "No such command 'audti'"),
        (["rules", "chekc"], "No such command 'chekc'"),
        (["--wings"], "No such option '--wings'"),
        (["audit", AFTER, "--biuld", SHEET], "No such option '--biuld'"),
        (["audit", AFTER, "--build"], "Option '--build' requires an argument"),
        (["audit", AFTER, "more", "--build", SHEET], "unexpected extra argument (more)"),
        (["audit", AFTER, "--build", SHEET, "--format", "pdf"], "'pdf' is not one of 'text', 'json'"),
        (["audit", AFTER, "--build", SHEET, "--fail-at", "x"], "'x' is not one of"),
        (["diff", AFTER], "Missing argument 'B'"),
        (["explain"], "Missing argument 'RULE'"),
        (["explain", "a/b", "--format", "\x1b[1m"], "'\\x1b[1m' is not one of"),
    ],
)
def test_the_command_line(arguments: list[str], said: str) -> None:
    line = refused(*arguments)
    assert said in line
    assert line.endswith("--help")


def test_no_command_is_a_question() -> None:
    assert run() == run("--help")
    assert run("rules") == run("rules", "--help")
    assert run().code == 0


def test_an_unknown_dialect() -> None:
    line = refused("audit", AFTER, "--build", SHEET, "--dialect", "wren")
    assert line.startswith("no dialect 'wren'; ")
    assert "plover" in line


DIALECT = """\
dialect: wren
title: A small one
family: console
header: ["wren {firmware.version}"]
remark: "~"
assignment: "{name} := {value}"
settings:
  screen: {is: osd.drive, words: {camera: chip, serial: displayport}}
forms:
  - line: "link {id} does {jobs}"
    cells:
      id: {words: {u1: UART1}}
      jobs: {bits: {0: console-link, 2: receiver}, written: hex}
    gives: {"ports.{id}.functions": jobs}
"""


def test_a_dialect_of_ones_own(tmp_path: pathlib.Path) -> None:
    dialect, dump = tmp_path / "wren.yaml", tmp_path / "dump.txt"
    dialect.write_text(DIALECT)
    dump.write_text("~ wren 1.0\nscreen := camera\nlink u1 does 0x4\n")
    outcome = run("audit", dump, "--build", SHEET, "--dialect", dialect)
    assert (outcome.code, outcome.err) == (1, "")
    assert "read as wren, 2 settings, all understood" in outcome.out
    assert run("diff", dump, dump, "--dialect", dialect).code == 0


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        ("family: console", "family: rows", "3:9", "rows"),
        ("family: console\n", "", "1:1", "lacks the key 'family'"),
        ("title:", "titel:", "2:1", "did you mean 'title'?"),
        ("{id} does", "{id does", "10:11", "brace"),
        ("words: {camera: chip, serial: displayport}", "wrods: {}", "8:27", "wrods"),
        ("written: hex", "written: roman", "13:61", "roman"),
        ("jobs}", "job}", "10:11", "the cell {job} is not described"),
        ("osd.drive", "osd..drive", "8:16", "osd..drive"),
        ("remark:", "remark: [", "5:", "this is not YAML"),
    ],
)
def test_a_dialect_with_a_fault(old: str, new: str, place: str, said: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "wren.yaml"
    file.write_text(DIALECT.replace(old, new))
    line = refused("audit", AFTER, "--build", SHEET, "--dialect", file)
    assert line.startswith(f"{file}:{place}")
    assert said in line


# Mends


def listing(folder: pathlib.Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


@pytest.mark.parametrize("there", ["mends.txt", "mends.txt.undo"])
@pytest.mark.parametrize("kind", ["file", "folder", "dangling link"])
def test_nothing_is_written_over(there: str, kind: str, tmp_path: pathlib.Path) -> None:
    target = tmp_path / there
    if kind == "file":
        target.write_bytes(b"mine\r\n")
    elif kind == "folder":
        target.mkdir()
    else:
        target.symlink_to(tmp_path / "nowhere")
    before = [(file.name, stat.S_IFMT(file.lstat().st_mode)) for file in tmp_path.iterdir()]
    line = refused("audit", AFTER, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    assert line == f"{target}:1:1: this file is there already; name a new one"
    assert [(file.name, stat.S_IFMT(file.lstat().st_mode)) for file in tmp_path.iterdir()] == before
    if kind == "file":
        assert listing(tmp_path) == {there: b"mine\r\n"}


@pytest.mark.parametrize("name", ["none/mends.txt", "x" * 252, "x" * 5000, "a\0b", "file/mends.txt"])
def test_mends_that_cannot_be_written(name: str, tmp_path: pathlib.Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    line = refused("audit", AFTER, "--build", SHEET, "--mend", f"{tmp_path}/{name}")
    assert ":1:1: cannot be written (" in line
    assert listing(tmp_path) == {"file": b""}


def test_mends_without_a_name() -> None:
    assert refused("audit", AFTER, "--build", SHEET, "--mend", "").endswith("; name a new one")


def test_half_written_mends_are_taken_away(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = pathlib.Path.open

    def guarded(self: pathlib.Path, *more: Any, **others: Any) -> Any:
        if self.name.endswith(".undo"):
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(self, *more, **others)

    monkeypatch.setattr(pathlib.Path, "open", guarded)
    line = refused("audit", AFTER, "--build", SHEET, "--mend", tmp_path / "mends.txt")
    assert "No space left on device" in line
    assert listing(tmp_path) == {}


def test_a_fault_elsewhere_leaves_no_mends(tmp_path: pathlib.Path) -> None:
    refused("audit", AFTER, "--build", SHEET, "--rules", tmp_path / "none", "--mend", tmp_path / "mends.txt")
    assert listing(tmp_path) == {}


def test_whoever_stops_a_run_finds_no_half_of_its_files(
    tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = pathlib.Path.open

    def stopped(self: pathlib.Path, *more: Any, **others: Any) -> Any:
        if self.name.endswith(".undo"):
            raise KeyboardInterrupt
        return real(self, *more, **others)

    monkeypatch.setattr(pathlib.Path, "open", stopped)
    assert run("audit", AFTER, "--build", SHEET, "--mend", tmp_path / "mends.txt").code == 130
    assert listing(tmp_path) == {}
