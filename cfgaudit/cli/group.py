"""A group of commands that says of each what it does, in a whole sentence."""

from __future__ import annotations

import re

import click

_SENTENCE = re.compile(r".+?[.!?](?=\s|$)", re.DOTALL)


class Group(click.Group):
    """click cuts what a command does after a few words; here its first sentence stands."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """See click.Group."""
        rows = [
            (name, _first(command))
            for name in self.list_commands(ctx)
            if (command := self.get_command(ctx, name)) and not command.hidden
        ]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


def _first(command: click.Command) -> str:
    found = _SENTENCE.match(" ".join((command.help or "").replace("\b", "").split()))
    return found[0] if found else ""
