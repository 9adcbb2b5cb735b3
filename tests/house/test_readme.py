"""The README shows what the program really prints, and names only what there is.

When an example is meant to print something else, or a new one has only its ``$ cfgaudit …`` line yet:

    RENEW_SNAPSHOTS=1 pytest tests/house/test_readme.py; git diff README.md

writes what is printed now into the blocks. A block may end with a line ``…``: the output goes on.
"""

from __future__ import annotations

import contextlib
import io
import os
import pathlib
import re
import shlex
import shutil
from collections.abc import Iterator
from datetime import date
from functools import cache

import pytest

from cfgaudit.cli import clock
from cfgaudit.cli.main import COMMANDS, main
from tests.house.checkout import ROOT

README = ROOT / "README.md"
LONG = 2000  # characters; a README of this length has examples
GOES_ON = "…"

FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
INLINE = re.compile(r"`([^`\n]+)`")
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def blocks(text: str, language: str) -> list[str]:
    return [found[2] for found in FENCED.finditer(text) if found[1] == language]


def examples(block: str) -> Iterator[tuple[str, list[str]]]:
    """The commands of a block, each with the output that is shown under it."""
    command, shown = "", []
    for line in block.splitlines():
        if line.startswith("$ "):
            if command:
                yield command, shown
            command, shown = line.removeprefix("$ "), []
        else:
            assert command, f"{line!r} stands before any command"
            shown.append(line)
    yield command, shown


def printed(command: str) -> list[str]:
    """What a command prints on a screen."""
    name, *arguments = shlex.split(command)
    if name == "cat":
        return pathlib.Path(*arguments).read_text("utf-8").splitlines()
    assert name == "cfgaudit", f"an example runs cfgaudit, not {name}"
    screen = io.StringIO()
    with contextlib.redirect_stdout(screen), contextlib.redirect_stderr(screen):
        main(arguments)
    return screen.getvalue().splitlines()


def as_shown(real: list[str], shown: list[str]) -> list[str]:
    """The real output, cut where what is shown goes on."""
    return [*real[: len(shown) - 1], GOES_ON] if shown and shown[-1] == GOES_ON else real


@cache
def help_of(*command: str) -> str:
    screen = io.StringIO()
    with contextlib.redirect_stdout(screen):
        assert main([*command, "--help"]) == 0
    return screen.getvalue()


def commands_in(words: list[str]) -> tuple[str, ...]:
    """The command that a line names, and the one inside it: ("rules", "list")."""
    if not words or words[0] not in COMMANDS:
        return ()
    return (*words[:1], *(word for word in words[1:2] if word in inner_commands(words[0])))


def inner_commands(command: str) -> list[str]:
    """The commands of a group of them; of any other, none."""
    return re.findall(r"^  ([a-z-]+)  ", help_of(command).partition("\nCommands:\n")[2], re.MULTILINE)


def code(text: str) -> Iterator[str]:
    """Every piece of code: lines of fenced blocks, and what stands in backquotes."""
    for found in FENCED.finditer(text):
        yield from found[2].splitlines()
    for found in INLINE.finditer(FENCED.sub("", text)):
        yield found[1]


@pytest.fixture
def _on_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is accepted expires; the README stays as it is."""
    monkeypatch.setattr(clock, "today", lambda: date(2026, 6, 1))


@pytest.fixture
def _beside_the_samples(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Examples run where the samples are, but write nothing into the checkout."""
    for folder in ("samples", "grammars", "rules"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    monkeypatch.chdir(tmp_path)


@pytest.mark.usefixtures("_beside_the_samples", "_on_a_day")
def test_examples_print_what_is_shown() -> None:
    text = README.read_text("utf-8")
    console = blocks(text, "console")
    assert len(text) < LONG or len(console) >= 3
    renewed = text
    for block in console:
        real = "".join(
            "\n".join([f"$ {command}", *as_shown(printed(command), shown)]) + "\n"
            for command, shown in examples(block)
        )
        if os.environ.get("RENEW_SNAPSHOTS"):
            renewed = renewed.replace(f"```console\n{block}```", f"```console\n{real}```")
        else:
            assert block == real
    if renewed != text:
        README.write_text(renewed, "utf-8")
        pytest.fail("README.md was renewed: read the difference, then run again without RENEW_SNAPSHOTS")


def test_commands_that_are_named_exist() -> None:
    for piece in code(README.read_text("utf-8")):
        # not where a file of mends calls itself one, behind a remark sign
        for found in re.finditer(r"(?:^|[\s/$])(?<![~;#] )cfgaudit ([a-z]+(?: [a-z][a-z-]*)?)\b", piece):
            assert commands_in(found[1].split()), piece


def test_options_that_are_named_exist() -> None:
    inner = [(one, name) for one in COMMANDS for name in inner_commands(one)]
    everywhere = "".join(help_of(*names) for names in ((), *((one,) for one in COMMANDS), *inner))
    for piece in code(README.read_text("utf-8")):
        called = re.search(r"(?:^|[\s/$])cfgaudit ([^&|;]*)", piece)
        if called:
            helped = help_of(*commands_in(called[1].split()))
            named = OPTION.findall(called[1])
        else:
            helped, named = (
                everywhere,
                [] if re.match(r"\S*(pip|git|python3?) |diff --git ", piece) else OPTION.findall(piece),
            )
        for option in named:
            assert re.search(rf"{option}\b(?!-)", helped), piece


def test_links_lead_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", README.read_text("utf-8")):
        assert (ROOT / target).exists(), target
