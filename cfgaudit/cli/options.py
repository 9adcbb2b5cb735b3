"""Options that mean the same in several commands, and when they make the exit code 1."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from cfgaudit.cli.complete import craft_names, dialect_names

Command = TypeVar("Command", bound=Callable[..., Any])


def craft_option(meaning: str) -> Callable[[Command], Command]:
    """--craft NAME: a craft of the project file."""
    return click.option("--craft", default="", metavar="NAME", help=meaning, shell_complete=craft_names)


def project_option() -> Callable[[Command], Command]:
    """--project FILE: which project file."""
    said = "Else the cfgaudit.yaml here or in a folder above."
    return click.option("--project", default="", metavar="FILE", help=said)


def dialect_option(
    meaning: str = "A dialect's name or file; else the header tells.",
) -> Callable[[Command], Command]:
    """--dialect D: how a dump is read."""
    return click.option("--dialect", default="", metavar="D", help=meaning, shell_complete=dialect_names)


def rules_option() -> Callable[[Command], Command]:
    """--rules DIR: rules of one's own."""
    said = "A folder with rules of your own, beside ours."
    return click.option("--rules", multiple=True, metavar="DIR", help=said)


def key_option() -> Callable[[Command], Command]:
    """--key FILE: the key of the seals."""
    said = "The key of the seals; else CFGAUDIT_KEY's, else your own."
    return click.option("--key", default="", metavar="FILE", envvar="CFGAUDIT_KEY", help=said)


def fail_at_option(
    meaning: str = "The level from which findings make the exit code 1.",
) -> Callable[[Command], Command]:
    """--fail-at LEVEL: what makes the exit code 1."""
    levels = click.Choice(["error", "warning", "note", "never"])
    return click.option("--fail-at", type=levels, default="warning", show_default=True, help=meaning)


def why_option() -> Callable[[Command], Command]:
    """--why, --no-why: the reason of each finding."""
    said = "Say why each finding matters."
    return click.option("--why/--no-why", default=True, show_default=True, help=said)


def reaches(worst: str, fail_at: str) -> bool:
    """Whether the weightiest level found is at or above the one that counts; "" is none found."""
    levels = ("error", "warning", "note")
    return fail_at != "never" and worst != "" and levels.index(worst) <= levels.index(fail_at)
