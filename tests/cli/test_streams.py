"""Pipes, terminals, and streams that are not what a program hopes for."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest

from tests.cli.session import AFTER, BEFORE, HERON, HERON_SHEET, PRESET, SHEET, process, run, surroundings
from tests.house.checkout import ROOT

AUDIT = ("audit", AFTER, "--build", SHEET, "--not-judged")
PRESET_RUN = ("preset", BEFORE, PRESET, "--build", SHEET)
HERON_AS_IT_CAME = "samples/heron/factory-2.3.1.txt"
CARRY = (
    *("carry", "--old-factory", HERON_AS_IT_CAME, "--mine", HERON),
    *("--new-factory", "samples/heron/factory-3.0.txt", "--build", HERON_SHEET),
)
EXPLAIN = ("explain", "motor/pin-differs")
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def on_a_terminal(*arguments: str, **more: str) -> str:
    """What a command shows on a pseudo-terminal."""
    pty = pytest.importorskip("pty")
    ours, its = pty.openpty()
    try:
        child = subprocess.Popen(
            [sys.executable, "-m", "cfgaudit", *arguments],
            cwd=ROOT,
            env=surroundings({"TERM": "xterm", **more}),
            stdin=subprocess.DEVNULL,
            stdout=its,
            stderr=subprocess.STDOUT,
        )
    finally:
        os.close(its)
    shown = b""
    try:
        while piece := os.read(ours, 65536):
            shown += piece
    except OSError:  # Linux says so when the other end is closed
        pass
    os.close(ours)
    assert child.wait(60) in (0, 1)
    return shown.decode("utf-8").replace("\r\n", "\n")


def test_plain_where_it_is_no_terminal() -> None:
    done = process(*AUDIT)
    assert (done.returncode, done.stderr) == (1, b"")
    assert b"\x1b" not in done.stdout
    assert done.stdout.decode("utf-8") == run(*AUDIT).out


@pytest.mark.parametrize(
    "arguments",
    [AUDIT, CARRY, EXPLAIN, PRESET_RUN],
    ids=lambda one: one[0],
)
def test_colour_on_a_terminal_is_all_that_differs(arguments: tuple[str, ...]) -> None:
    shown = on_a_terminal(*arguments)
    assert COLOUR.search(shown)
    assert COLOUR.sub("", shown) == run(*arguments).out


@pytest.mark.parametrize("more", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_no_colour_where_none_is_wanted(more: dict[str, str]) -> None:
    assert on_a_terminal(*EXPLAIN, **more) == run(*EXPLAIN).out


def test_an_empty_wish_for_no_colour_is_none() -> None:
    assert COLOUR.search(on_a_terminal(*EXPLAIN, NO_COLOR=""))


def test_data_has_no_colour_on_a_terminal() -> None:
    shown = on_a_terminal("diff", BEFORE, AFTER, "--format", "json")
    assert shown == run("diff", BEFORE, AFTER, "--format", "json").out


@pytest.mark.parametrize("arguments", [AUDIT, CARRY, EXPLAIN, PRESET_RUN, ("--help",)])
def test_a_reader_who_leaves_early(arguments: tuple[str, ...]) -> None:
    command = [sys.executable, "-m", "cfgaudit", *arguments]
    child = subprocess.Popen(
        command, cwd=ROOT, env=surroundings(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, bufsize=0
    )
    assert child.stdout
    assert child.stderr
    child.stdout.close()  # before anything is written
    assert child.stderr.read() == b""
    child.stderr.close()
    assert child.wait(60) == (0 if arguments == EXPLAIN else 1)


def test_a_reader_of_one_line() -> None:
    command = f"{sys.executable} -m cfgaudit rules list --format json | head -1"
    done = subprocess.run(
        command, shell=True, cwd=ROOT, env=surroundings(), capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "{\n", "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no full device")
def test_a_full_disk() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "cfgaudit", *AUDIT],
            cwd=ROOT,
            env=surroundings(),
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr == b"the report cannot be written (No space left on device); write it elsewhere\n"


@pytest.mark.parametrize(
    ("arguments", "closed", "code", "said"),
    [
        (
            f"diff - {AFTER}",
            "<&-",
            2,
            b"-:1:1: standard input is closed; pipe a dump into it, or name a file\n",
        ),
        (f"diff {BEFORE} {AFTER}", ">&-", 1, b""),
        ("explain x", "2>&-", 2, b""),
        (f"diff {BEFORE} {AFTER}", "<&- >&- 2>&-", 1, b""),
        ("explain x", "<&- >&- 2>&-", 2, b""),
    ],
)
def test_streams_that_the_shell_closed(arguments: str, closed: str, code: int, said: bytes) -> None:
    done = subprocess.run(
        f"{sys.executable} -m cfgaudit {arguments} {closed}",
        shell=True,
        cwd=ROOT,
        env=surroundings(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (code, b"", said)


def test_a_dump_from_standard_input() -> None:
    dump = (ROOT / AFTER).read_bytes()
    piped = process("audit", "-", "--build", SHEET, stdin=dump).stdout.decode("utf-8")
    assert "\n-: full dump, read as plover" in piped
    assert "-:46:20" in piped
    assert run("diff", "-", AFTER, stdin=dump).code == 0
    assert run("diff", BEFORE, "-", stdin=dump).code == 1
    assert run("preset", BEFORE, PRESET, "-", "--build", SHEET, "--fail-at", "never", stdin=dump).code == 0


def test_ascii_alone() -> None:
    done = process("diff", BEFORE, AFTER, env={"PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.stdout == run("diff", BEFORE, AFTER).out.encode("ascii", "backslashreplace")


def test_a_fault_in_ascii() -> None:
    done = process("explain", "größe", env={"PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"there is no rule gr\\xf6\\xdfe; ")


def test_a_name_that_is_no_text() -> None:
    done = process("audit", os.fsdecode(b"\xff\xfe.txt"), "--build", SHEET)
    assert done.returncode == 2
    assert done.stderr == b"\\udcff\\udcfe.txt:1:1: there is no such file; check the name and the folder\n"


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no full device")
def test_where_nobody_takes_the_reason_the_code_is_the_same() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "cfgaudit", "baseline", "show", "no-such-file.txt"],
            cwd=ROOT,
            env=surroundings(),
            stdout=subprocess.PIPE,
            stderr=full,
            timeout=60,
        )
    assert (done.returncode, done.stdout) == (2, b"")
