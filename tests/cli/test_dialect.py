"""The dialects on the command line: the list, a draft, a lesson, a check, and what goes wrong with each."""

from __future__ import annotations

import errno
import io
import pathlib
import re
from functools import cache
from typing import Any

import pytest

from tests.cli.session import AFTER, HERON, KNOWN_GOOD, VOLE, VOLE_SHEET, Outcome, process, refused, run

KNOWN, SHEET = "samples/teach/known-good.txt", "samples/teach/build.yaml"
LESSONS = {number: f"samples/teach/lesson-{number}.txt" for number in range(1, 7)}
PICTURE = "osd.drive = chip was displayport"
VOLES = ("samples/vole/known-good.txt", VOLE, "samples/vole/changed-only.txt")

# A dialect with two lessons, as a user may have it after an afternoon.
WREN = """\
dialect: wren
title: A small one
family: console
header: ["wren {firmware.version}"]
remark: "~"
assignment: "{name} := {value}"
settings:
  screen: {is: osd.drive, words: {camera: chip, serial: displayport}}
  volts.warn: {is: battery.cell_warn_v, decimal: 0.01, range: [3.0, 4.2]}
lessons:
  - facts: [osd.drive = chip was displayport]
    changed:
      - {before: "screen := serial", after: "screen := camera"}
  - facts: [battery.cell_warn_v = 3.5 was 3.4]
    changed:
      - {before: "volts.warn := 340", after: "volts.warn := 350"}
"""


@cache
def drafted() -> bytes:
    """The draft of the firmware that is taught, by its build sheet."""
    return run("dialect", "draft", KNOWN, "--build", SHEET).out.encode()


@pytest.fixture
def mine(tmp_path: pathlib.Path) -> pathlib.Path:
    file = tmp_path / "mine.yaml"
    file.write_bytes(drafted())
    return file


@pytest.fixture
def wren(tmp_path: pathlib.Path) -> pathlib.Path:
    file = tmp_path / "wren.yaml"
    file.write_text(WREN)
    return file


def listing(folder: pathlib.Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def teach(dialect: pathlib.Path | str, after: str, *facts: str, more: tuple[str, ...] = ()) -> Outcome:
    told = [word for fact in facts for word in ("--fact", fact)]
    return run("dialect", "teach", "--dialect", dialect, KNOWN, after, *told, *more)


def not_taught(dialect: pathlib.Path, after: str, *facts: str, more: tuple[str, ...] = ()) -> str:
    """The one line that refuses a lesson; nothing in the dialect's folder has changed by a byte."""
    before = listing(dialect.parent)
    told = [word for fact in facts for word in ("--fact", fact)]
    line = refused("dialect", "teach", "--dialect", dialect, KNOWN, after, *told, *more)
    assert listing(dialect.parent) == before
    return line


# list


def test_the_list() -> None:
    outcome = run("dialect", "list")
    assert (outcome.code, outcome.err) == (0, "")
    named = [line.split()[:2] for line in outcome.out.splitlines()]
    assert named == [["avocet", "columns"], ["dunlin", "sectioned"], ["plover", "console"]]
    assert run("dialect", "--help").code == 0
    assert run("dialect") == run("dialect", "--help")


@pytest.mark.parametrize("command", ["list", "draft", "teach", "check"])
def test_help_has_an_example(command: str) -> None:
    outcome = run("dialect", command, "--help")
    assert (outcome.code, outcome.err) == (0, "")
    assert len(re.findall(rf"^  Example: cfgaudit dialect {command}", outcome.out, re.MULTILINE)) == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["lst"], "No such command 'lst'"),
        (["list", "more"], "unexpected extra argument (more)"),
        (["draft"], "Missing argument 'DUMP'"),
        (["draft", KNOWN, "--bild", SHEET], "No such option '--bild'"),
        (["teach", KNOWN, LESSONS[1], "--fact", PICTURE], "Missing option '--dialect'"),
        (["teach", "--dialect", "x.yaml", KNOWN, "--fact", PICTURE], "Missing argument 'AFTER'"),
        (["teach", "--dialect", "x.yaml", KNOWN, LESSONS[1]], "Missing option '--fact'"),
        (["check"], "Missing argument 'DIALECT'"),
    ],
)
def test_the_command_line(arguments: list[str], said: str) -> None:
    line = refused("dialect", *arguments)
    assert said in line
    assert line.endswith("--help")


# draft


def test_a_draft_goes_to_standard_output_or_to_a_new_file(tmp_path: pathlib.Path) -> None:
    shown, file = run("dialect", "draft", KNOWN, "--build", SHEET), tmp_path / "mine.yaml"
    written = run("dialect", "draft", KNOWN, "--build", SHEET, "--out", file)
    assert (shown.code, shown.err) == (0, "")
    assert (written.code, written.out) == (0, "")
    assert re.fullmatch(
        rf"draft written to {re.escape(str(file))}: \d+ meanings settled, \d+ questions at its end\n",
        written.err,
    )
    assert listing(tmp_path) == {"mine.yaml": shown.out.encode()}


def test_a_draft_from_standard_input() -> None:
    data = pathlib.Path(KNOWN).read_bytes()
    piped = run("dialect", "draft", "-", "--build", SHEET, stdin=data)
    named = run("dialect", "draft", KNOWN, "--build", SHEET)
    assert (piped.code, piped.err) == (0, "")
    assert piped.out.partition("\ndialect:")[2] == named.out.partition("\ndialect:")[2] != ""


@pytest.mark.parametrize("dump", VOLES)
def test_the_draft_of_a_columns_dump_loads_and_checks(dump: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "vole.yaml"
    assert run("dialect", "draft", VOLES[0], "--build", VOLE_SHEET, "--out", file).code == 0
    outcome = run("dialect", "check", file, dump)
    assert (outcome.code, outcome.err) == (0, ""), outcome.out
    assert f"{file}: avocet, columns, " in outcome.out
    assert re.search(rf"^{re.escape(dump)}: (\d+) of \1 lines understood$", outcome.out, re.MULTILINE)
    assert outcome.out.endswith("nothing is wrong\n")
    assert run("audit", dump, "--build", VOLE_SHEET, "--dialect", file).code in (0, 1)


@pytest.mark.parametrize("dump", [KNOWN, KNOWN_GOOD, HERON, AFTER])
def test_any_draft_without_a_sheet_loads_and_checks(dump: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "mine.yaml"
    assert run("dialect", "draft", dump, "--out", file).code == 0
    outcome = run("dialect", "check", file, dump)
    assert (outcome.code, outcome.err) == (0, ""), outcome.out


@pytest.mark.parametrize("kind", ["file", "folder", "dangling link"])
@pytest.mark.parametrize("command", ["draft", "teach"])
def test_nothing_is_written_over(command: str, kind: str, mine: pathlib.Path, tmp_path: pathlib.Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    target = folder / "new.yaml"
    if kind == "file":
        target.write_bytes(b"mine\r\n")
    elif kind == "folder":
        target.mkdir()
    else:
        target.symlink_to(tmp_path / "nowhere")
    if command == "draft":
        line = refused("dialect", "draft", KNOWN, "--out", target)
    else:
        given = ("dialect", "teach", "--dialect", mine, KNOWN, LESSONS[1], "--fact", PICTURE)
        line = refused(*given, "--out", target)
    assert line == f"{target}:1:1: this file is there already; name a new one"
    assert [one.name for one in folder.iterdir()] == ["new.yaml"]
    assert not (tmp_path / "nowhere").exists()
    assert mine.read_bytes() == drafted()
    if kind == "file":
        assert target.read_bytes() == b"mine\r\n"


@pytest.mark.parametrize("name", ["none/x.yaml", "x" * 256, "x" * 5000, "a\0b", "mine.yaml/x.yaml"])
@pytest.mark.parametrize("command", ["draft", "teach"])
def test_an_output_that_cannot_be_written(command: str, name: str, mine: pathlib.Path) -> None:
    out = f"{mine.parent}/{name}"
    if command == "draft":
        line = refused("dialect", "draft", KNOWN, "--out", out)
    else:
        line = not_taught(mine, LESSONS[1], PICTURE, more=("--out", out))
    assert ":1:1: cannot be written (" in line
    assert line.endswith("; name another file")
    assert listing(mine.parent) == {"mine.yaml": drafted()}


def test_a_name_so_long_that_no_copy_can_have_it(mine: pathlib.Path) -> None:
    long = mine.rename(mine.parent / ("x" * 250))
    assert ":1:1: cannot be written (" in not_taught(long, LESSONS[1], PICTURE)


def test_an_output_without_a_name(mine: pathlib.Path) -> None:
    assert refused("dialect", "draft", KNOWN, "--out", "").endswith("; name a new one")
    assert not_taught(mine, LESSONS[1], PICTURE, more=("--out", "")).endswith("; name a new one")


class _Full(io.StringIO):
    """A file on a disk that is full."""

    def write(self, text: str) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("command", ["draft", "teach"])
def test_a_half_written_output_is_taken_away(
    command: str, mine: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, out = pathlib.Path.open, mine.parent / "new.yaml"

    def guarded(self: pathlib.Path, mode: str = "r", *more: Any, **others: Any) -> Any:
        if self != out:
            return real(self, mode, *more, **others)
        real(self, mode).close()
        return _Full()

    monkeypatch.setattr(pathlib.Path, "open", guarded)
    if command == "draft":
        line = refused("dialect", "draft", KNOWN, "--out", out)
    else:
        line = not_taught(mine, LESSONS[1], PICTURE, more=("--out", str(out)))
    assert line == f"{out}:1:1: cannot be written (No space left on device); name another file"
    assert listing(mine.parent) == {"mine.yaml": drafted()}


@pytest.mark.parametrize("content", [b"", b"\n \n", b"\xef\xbb\xbf"])
def test_nothing_to_draft_from(content: bytes) -> None:
    line = refused("dialect", "draft", "-", stdin=content)
    assert line == "-:1:1: this dump is empty; dump again, all settings"


def test_what_a_draft_cannot_read(tmp_path: pathlib.Path) -> None:
    missing, out = tmp_path / "none", tmp_path / "new.yaml"
    gone = f"{missing}:1:1: there is no such file; check the name and the folder"
    assert refused("dialect", "draft", missing, "--out", out) == gone
    assert refused("dialect", "draft", KNOWN, "--build", missing, "--out", out) == gone
    assert refused("dialect", "draft", "samples") == "samples:1:1: this is a folder; name the dump in it"
    assert ":1:1: " in refused("dialect", "draft", KNOWN, "--build", "", "--out", out)
    assert refused("dialect", "draft", KNOWN, "--build", KNOWN, "--out", out).startswith(f"{KNOWN}:")
    both = refused("dialect", "draft", "-", "--build", "-", "--out", out)
    assert both == "standard input cannot be both DUMP and SHEET; name a file for one of them"
    assert listing(tmp_path) == {}


# teach


def test_a_lesson_is_kept_and_the_old_file_too(mine: pathlib.Path) -> None:
    mine.chmod(0o640)
    outcome = teach(mine, LESSONS[1], PICTURE)
    assert (outcome.code, outcome.err) == (0, "")
    said = outcome.out.splitlines()
    assert said[0].endswith(f"({PICTURE})")
    assert said[1] == "  picture/text: wire → picture/text: chip"
    assert any(line.startswith("settled  osd.drive: ") for line in said)
    assert said[-1] == f"written: {mine}; as it was before: {mine}.before"
    files = listing(mine.parent)
    assert set(files) == {"mine.yaml", "mine.yaml.before"}
    assert files["mine.yaml.before"] == drafted() != files["mine.yaml"]
    assert mine.stat().st_mode & 0o777 == 0o640
    assert run("dialect", "check", mine, KNOWN, LESSONS[1]).code == 0


def test_a_lesson_taught_twice_is_one(mine: pathlib.Path) -> None:
    assert teach(mine, LESSONS[1], PICTURE).code == 0
    before = listing(mine.parent)
    again = teach(mine, LESSONS[1], PICTURE)
    assert (again.code, again.err) == (0, "")
    assert again.out.endswith(f"{mine} says so already\n")
    assert listing(mine.parent) == before


def test_a_lesson_for_a_new_file(mine: pathlib.Path) -> None:
    out = mine.parent / "new.yaml"
    outcome = teach(mine, LESSONS[1], PICTURE, more=("--out", str(out)))
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.endswith(f"\nwritten: {out}\n")
    assert set(listing(mine.parent)) == {"mine.yaml", "new.yaml"}
    assert mine.read_bytes() == drafted()
    assert teach(mine, LESSONS[1], PICTURE).code == 0
    assert mine.read_bytes() == out.read_bytes()


def test_a_link_to_a_dialect_stays_one(mine: pathlib.Path) -> None:
    link = mine.parent / "link.yaml"
    link.symlink_to(mine)
    outcome = teach(link, LESSONS[1], PICTURE)
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.endswith(f"written: {link}; as it was before: {mine}.before\n")
    assert link.is_symlink()
    assert mine.read_bytes() != drafted() == (mine.parent / "mine.yaml.before").read_bytes()


@pytest.mark.parametrize("piped", [0, 1])
def test_a_lesson_from_standard_input(piped: int, mine: pathlib.Path) -> None:
    names = [KNOWN, LESSONS[1]]
    data = pathlib.Path(names[piped]).read_bytes()
    names[piped] = "-"
    outcome = run("dialect", "teach", "--dialect", mine, *names, "--fact", PICTURE, stdin=data)
    assert (outcome.code, outcome.err) == (0, "")
    assert "\nsettled  osd.drive: " in outcome.out


def test_a_lesson_from_a_terminal_capture(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "vole.yaml"
    assert run("dialect", "draft", VOLES[0], "--build", VOLE_SHEET, "--out", file).code == 0
    told = ("--fact", "osd.standard = ntsc was pal", "--fact", "battery.cell_full_v = 4.35 was 4.2")
    outcome = run("dialect", "teach", "--dialect", file, VOLES[0], VOLE, *told)
    assert (outcome.code, outcome.err) == (0, "")
    assert "  TEXT_LINES,625 → TEXT_LINES,525\n" in outcome.out
    assert "hall-desk" not in outcome.out
    assert "hall-desk" not in file.read_text("utf-8")
    assert run("dialect", "check", file, *VOLES).code == 0


def test_a_lesson_for_a_process_of_its_own(mine: pathlib.Path) -> None:
    done = process("dialect", "teach", "--dialect", mine, KNOWN, LESSONS[1], "--fact", "osd.drive = camera")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.count(b"\n") == 1
    assert listing(mine.parent) == {"mine.yaml": drafted()}


@pytest.mark.parametrize("names", [("-", "-"), (KNOWN, "-"), ("-", LESSONS[1])])
def test_standard_input_that_tells_nothing(names: tuple[str, str], mine: pathlib.Path) -> None:
    line = refused("dialect", "teach", "--dialect", mine, *names, "--fact", PICTURE)
    if names == ("-", "-"):
        assert line == "standard input cannot be both BEFORE and AFTER; name a file for one of them"
    else:
        assert line == "-:1:1: no line of this dump says anything; dump again, all settings"
    assert listing(mine.parent) == {"mine.yaml": drafted()}


@pytest.mark.parametrize(
    ("fact", "said"),
    [
        ("", "is no fact; write it as "),
        ("osd.drive", "is no fact; write it as "),
        ("osd.drive =", "is no fact; write it as "),
        ("= chip", "is no fact; write it as "),
        ("the picture is on the chip", "is no fact; write it as "),
        ("\x1b]0;x\x07", "is no fact; write it as "),
        ("wings.count = 2", "the model has no path wings.count; "),
        ("osd..drive = chip", "the model has no path osd..drive; "),
        ("ports = UART1", "the model has no path ports; "),
        ("osd.drive += chip", "osd.drive is no list, so nothing is added or taken; "),
        ("arming.checks = perhaps", "'perhaps' is neither yes nor no; "),
        ("motors.count = many", "'many' is not a number; "),
        ("motors.count = 4 was few", "'few' is not a number; "),
        ("osd.drive = camera", "says what osd.drive cannot be; the model has chip, displayport, off"),
        ("osd.drive = chip was wire", "says what osd.drive cannot be; the model has chip, displayport, off"),
        ("ports.UART2.functions += singing", "says what ports.UART2.functions cannot be; the model has "),
        ("motors.count = -4", "says what motors.count cannot be; "),
        ("motors.count = 4.5", "says what motors.count cannot be; "),
    ],
)
def test_facts_that_are_none(fact: str, said: str, mine: pathlib.Path) -> None:
    assert said in not_taught(mine, LESSONS[1], fact)
    assert said in not_taught(mine, LESSONS[1], PICTURE, fact)


def test_dumps_that_do_not_differ(mine: pathlib.Path) -> None:
    line = not_taught(mine, KNOWN, PICTURE)
    assert line.startswith(
        f"{KNOWN}:1:1: {KNOWN} and {KNOWN} do not differ, so they cannot tell what changed; make "
    )


def test_a_fact_that_no_line_explains(mine: pathlib.Path) -> None:
    line = not_taught(mine, LESSONS[6], "osd.drive = chip")
    assert re.match(
        rf"{re.escape(LESSONS[6])}:11:1: osd\.drive: no changed line explains lesson \d+ "
        r"\(osd\.drive = chip\): serial/2/duty: 0 → serial/2/duty: 4; mend the fact, or make ",
        line,
    )


def test_a_contradiction_names_the_lessons(mine: pathlib.Path) -> None:
    line = not_taught(mine, LESSONS[6], "ports.UART1.functions += telemetry")
    told = re.match(rf"{re.escape(str(mine))}:(\d+):\d+: ports\.\*\.functions: these disagree: ", line)
    assert told
    assert re.search(r"lesson \d+ \(ports\.UART1\.functions = receiver\); lesson \d+ \(.+ \+= tele", line)
    assert line.endswith("; take back the one that is wrong, or mend its facts")
    assert "ports.UART1.functions = receiver" in mine.read_text("utf-8").splitlines()[int(told[1]) - 1]


def test_a_contradiction_of_a_lesson_that_was_taught(mine: pathlib.Path) -> None:
    assert teach(mine, LESSONS[1], PICTURE).code == 0
    line = not_taught(mine, LESSONS[1], "osd.drive = displayport was chip")
    assert line.startswith(f"{mine}:")
    assert ": osd.drive: these disagree: " in line
    assert "(osd.drive = displayport was chip)" in line
    assert f"({PICTURE})" in line


def test_lessons_that_the_file_cannot_tell(wren: pathlib.Path) -> None:
    wren.write_text(WREN.replace("osd.drive = chip was displayport", "osd.drvie = chip"))
    at = f"{wren}:11:"
    assert not_taught(wren, LESSONS[1], PICTURE).startswith(at)
    assert refused("dialect", "check", wren).startswith(at)


@pytest.mark.parametrize(
    ("content", "place", "said"),
    [
        (b"", "1:1", "this file is empty"),
        (b"dialect: [wren\n", "1:10", "this is not YAML"),
        (b"dialect: wren\n\tfamily: x\n", "2:1", "this is not YAML"),
        (b"just words\n", "1:1", "single value"),
        (b"\xff\xfe", "1:1", "not UTF-8"),
        (b"dialect: wren\n", "1:1", "lacks the key"),
        (WREN.replace("console", "rows").encode(), "3:9", "rows"),
        (WREN.replace("lessons:", "lesons:").encode(), "10:1", "did you mean 'lessons'?"),
        (WREN.replace("facts: [", "facts: [[").encode(), "11:", "this is not YAML"),
        (WREN.replace("    changed:\n", "    change:\n", 1).encode(), "12:5", "did you mean 'changed'?"),
        (WREN.replace("    changed:\n", "    since:\n", 1).encode(), "11:5", "lacks the key 'changed'"),
    ],
)
def test_a_dialect_with_a_fault(content: bytes, place: str, said: str, wren: pathlib.Path) -> None:
    wren.write_bytes(content)
    for line in (not_taught(wren, LESSONS[1], PICTURE), refused("dialect", "check", wren)):
        assert line.startswith(f"{wren}:{place}"), line
        assert said in line


@pytest.mark.parametrize("missing", ["dialect", "before", "after"])
def test_a_lesson_without_a_file(missing: str, mine: pathlib.Path) -> None:
    names = {"dialect": str(mine), "before": KNOWN, "after": LESSONS[1], missing: f"{mine}.none"}
    command = ("dialect", "teach", "--dialect", names["dialect"], names["before"], names["after"])
    said = f"{mine}.none:1:1: there is no such file; check the name and the folder"
    assert refused(*command, "--fact", PICTURE) == said
    assert listing(mine.parent) == {"mine.yaml": drafted()}
    (mine.parent / "mine.yaml.none").mkdir()
    assert refused(*command, "--fact", PICTURE).startswith(f"{mine}.none:1:1: this is a folder; name the ")


@pytest.mark.parametrize("step", ["open", "write", "replace"])
def test_a_dialect_that_cannot_be_written(
    step: str, mine: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = pathlib.Path.open

    def full(*_given: Any) -> Any:
        raise OSError(errno.ENOSPC, "No space left on device")

    def guarded(self: pathlib.Path, mode: str = "r", *more: Any, **others: Any) -> Any:
        if mode != "xb" or (step == "write" and self.name.endswith(".new")):
            return real(self, mode, *more, **others)
        if step == "write":
            real(self, mode).close()
        return full()

    if step == "replace":
        monkeypatch.setattr(pathlib.Path, "replace", full)
    else:
        monkeypatch.setattr(pathlib.Path, "open", guarded)
    outcome = teach(mine, LESSONS[1], PICTURE)
    assert (outcome.code, outcome.out) == (2, "")
    assert outcome.err == f"{mine}:1:1: cannot be written (No space left on device); name another file\n"
    left = listing(mine.parent)
    assert left.pop("mine.yaml") == drafted()
    assert not any(name.endswith(".new") for name in left)


# check


@pytest.mark.parametrize(
    ("dialect", "dumps"),
    [("plover", [KNOWN_GOOD, AFTER]), ("dunlin", [HERON]), ("avocet", [*VOLES]), ("plover", [])],
)
def test_the_dialects_in_the_box_are_right(dialect: str, dumps: list[str]) -> None:
    outcome = run("dialect", "check", dialect, *dumps)
    assert (outcome.code, outcome.err) == (0, "")
    for dump in dumps:
        assert re.search(rf"^{re.escape(dump)}: (\d+) of \1 lines understood$", outcome.out, re.MULTILINE)
    assert outcome.out.endswith("\nnothing is wrong\n")


def test_lessons_are_proved_again(wren: pathlib.Path) -> None:
    outcome = run("dialect", "check", wren)
    assert (outcome.code, outcome.err) == (0, "")
    assert "\n2 lessons: 2 of 2 facts proved again\n" in outcome.out


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("camera: chip, serial: displayport", "camera: displayport, serial: chip", "osd.drive = chip"),
        ("decimal: 0.01", "decimal: 0.1", "battery.cell_warn_v = 3.5"),
    ],
)
def test_a_lesson_that_is_no_longer_proved(old: str, new: str, said: str, wren: pathlib.Path) -> None:
    assert WREN.count(old) == 1
    wren.write_text(WREN.replace(old, new).replace("range: [3.0, 4.2]", "range: [3.0, 42.0]"))
    outcome = run("dialect", "check", wren)
    assert (outcome.code, outcome.err) == (1, "")
    assert "2 lessons: 1 of 2 facts proved again" in outcome.out
    (line,) = (line for line in outcome.out.splitlines() if ": the dialect " in line)
    assert line.startswith("  lesson ")
    assert said in line
    assert outcome.out.endswith("something is wrong\n")


def test_lines_that_are_not_understood(wren: pathlib.Path, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_text(
        "~ wren 1.0\nlamp := 3\nscreen := serial\nrow 1 a\ngain2 := 5\nrow 2 b\nrow 3 c\ngain1 := 5\n"
    )
    outcome = run("dialect", "check", wren, dump)
    assert (outcome.code, outcome.err) == (0, "")  # not known yet is not wrong
    said = outcome.out.splitlines()
    at = said.index(f"{dump}: 1 of 7 lines understood")
    assert said[at + 1 : at + 4] == [
        f"  not understood: 3 lines like row, first at {dump}:4:1",
        f"  not understood: 2 lines like gain#, first at {dump}:5:1",
        f"  not understood: 1 line like lamp, first at {dump}:2:1",
    ]
    assert said[-1] == "nothing is wrong; 6 lines not understood yet"


def test_a_dump_from_standard_input(wren: pathlib.Path) -> None:
    outcome = run("dialect", "check", wren, "-", stdin=b"~ wren 1.0\nscreen := serial\nvolts.warn := 340\n")
    assert (outcome.code, outcome.err) == (0, "")
    assert "\n-: 2 of 2 lines understood\n" in outcome.out
    line = refused("dialect", "check", wren, "-", "-", stdin=b"~ wren 1.0\nscreen := serial\n")
    assert line == "standard input cannot be two dumps; name a file for one of them"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("screen := swan", ["2:11: ", "screen", "'swan'"]),
        ("volts.warn := 900", ["2:15: ", "volts.warn", "'900'"]),
        ("volts.warn := low", ["2:15: ", "volts.warn", "'low'"]),
    ],
)
def test_values_that_the_dialect_does_not_have(
    written: str, said: list[str], wren: pathlib.Path, tmp_path: pathlib.Path
) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_text(f"~ wren 1.0\n{written}\n")
    outcome = run("dialect", "check", wren, dump)
    assert (outcome.code, outcome.err) == (1, "")
    (line,) = (line for line in outcome.out.splitlines() if line.startswith(f"  {dump}:"))
    assert all(word in line for word in said), line
    assert outcome.out.endswith("something is wrong\n")


def test_what_a_check_cannot_read(wren: pathlib.Path) -> None:
    missing = wren.parent / "none"
    gone = f"{missing}:1:1: there is no such file; check the name and the folder"
    assert refused("dialect", "check", missing) == gone
    assert refused("dialect", "check", wren, missing) == gone
    assert refused("dialect", "check", "gull").startswith(
        "no dialect 'gull'; use avocet, dunlin, plover, or "
    )
    assert refused("dialect", "check", "samples").startswith("samples:1:1: this is a folder; ")
    assert refused("dialect", "check", wren, "samples").startswith("samples:1:1: this is a folder; ")
    assert refused("dialect", "check", "").startswith("no dialect ''; ")
    assert refused("dialect", "check", "gull.yaml").startswith("gull.yaml:1:1: there is no such file; ")
    assert refused("dialect", "check", "a\x1b[2J").startswith("no dialect 'a\\x1b[2J'; ")


def test_a_name_with_control_characters_is_written_out(wren: pathlib.Path, tmp_path: pathlib.Path) -> None:
    dump = tmp_path / "dump.txt"
    dump.write_text("~ wren 1.0\nscreen := \x1b[2Jx\n\x1b]0;y\x07 := 1\n")
    outcome = run("dialect", "check", wren, dump)
    assert outcome.code == 1
    assert all(line.isprintable() for line in outcome.out.splitlines())
