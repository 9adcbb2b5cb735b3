"""Help is at hand, and says what to type."""

from __future__ import annotations

import re

import pytest

import cfgaudit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.cli.main import COMMANDS
from cfgaudit.dialect.shelf import shipped_fronts
from tests.cli.session import run

EVERY = ["", *COMMANDS, "rules list", "rules check", "build draft", "build check", "baseline record"]
EVERY += ["baseline check"]


@pytest.mark.parametrize("command", EVERY)
def test_help_has_an_example(command: str) -> None:
    outcome = run(*command.split(), "--help")
    assert (outcome.code, outcome.err) == (0, "")
    (example,) = re.findall(r"^  Example: (.+)$", outcome.out, re.MULTILINE)
    assert example.startswith(f"cfgaudit {command}".strip())
    assert run(*command.split(), "-h") == outcome


@pytest.mark.parametrize("command", EVERY)
def test_examples_name_options_that_exist(command: str) -> None:
    said = run(*command.split(), "--help").out
    (example,) = re.findall(r"^  Example: cfgaudit (.+)$", said, re.MULTILINE)
    named = example.split()
    whole = run(
        *[word for word in named if word in {*EVERY, "list", "check", "draft", "record"}], "--help"
    ).out
    for option in re.findall(r"--[a-z-]+", example):
        assert f" {option} " in whole


def test_all_commands_are_listed() -> None:
    listed = re.findall(r"^  ([a-z]+)  ", run("--help").out.partition("Commands:")[2], re.MULTILINE)
    assert listed == list(COMMANDS)


def test_the_version_says_what_is_in_the_box() -> None:
    first, rules, dialects, python = run("--version").out.splitlines()
    assert first == f"cfgaudit {cfgaudit.__version__}"
    book = shipped_rules()
    assert rules == f"{len(book)} rules on {len({rule.id.partition('/')[0] for rule in book})} subjects"
    for front in shipped_fronts():
        assert f"{front.name} {front.versions.text}" in dialects
    assert python.startswith("Python 3.")
