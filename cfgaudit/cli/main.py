"""The command line's door: lazy commands, one line for every fault, exit codes."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from importlib import import_module

import click

from cfgaudit.model.refusal import Refusal

# name → (module, what the list of commands says); a module is imported only when its command runs
COMMANDS = {
    "audit": ("audit", "Does this configuration fit this hardware?"),
    "baseline": (
        "baseline",
        "Known-good configurations: record one, check a dump against it, keep it in git.",
    ),
    "history": ("history", "When did a setting of a baseline change, and in which commit?"),
    "diff": ("diff", "What really changed between two dumps?"),
    "fleet": ("fleet", "Many craft at once: audits, drift, and who differs from the others."),
    "preset": ("preset", "What a preset would do here, what came of it, and what fits instead."),
    "carry": (
        "carry",
        "A firmware update: what becomes of your settings, and the lines that set them again.",
    ),
    "build": ("build", "The build sheet: a first one from a dump, or a check without any dump."),
    "numbers": ("numbers", "What the chip, the lines and the motors can really do."),
    "dialect": ("dialect", "The firmwares that cfgaudit reads, and how to teach it another."),
    "explain": ("explain", "What a rule looks for, and why."),
    "rules": ("rules", "List the rules, or check them by their own cases."),
    "completion": ("completion", "What a shell needs to complete commands, options, rules and craft."),
}

FOUND, FAULT, STOPPED = 1, 2, 130


class _Commands(click.Group):
    """A group that knows its commands by name and loads them one at a time."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"cfgaudit.cli.{COMMANDS[cmd_name][0]}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, said) for name, (_, said) in COMMANDS.items()])


def _show_version(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        from cfgaudit.cli.box import box_lines
        from cfgaudit.cli.output import show

        show(box_lines())
        ctx.exit()


@click.command(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    is_eager=True,
    callback=_show_version,
    help="What is in the box.",
)
def cfgaudit() -> None:
    """Check a flight controller's configuration dump against the hardware it is for.

    cfgaudit reads text alone: it never talks to the aircraft. A clean audit is not a statement
    that the aircraft is safe to fly.

    \b
    Exit codes: 0 nothing at or above the chosen level
                1 findings, or differences
                2 cfgaudit could not do its work; one line says why

    \b
    Example: cfgaudit audit after.txt --build build.yaml
    """


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and give its exit code. Everything a user can cause ends in one line."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        code = cfgaudit.main(args=arguments, prog_name="cfgaudit", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as asked:
        path = asked.ctx.command_path if asked.ctx else ""
        return main([*path.split()[1:], "--help"])
    except Refusal as refusal:
        return _fault(str(refusal))
    except click.ClickException as error:
        command = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "cfgaudit"
        return _fault(f"{error.format_message().rstrip('.')}; see {command} --help")
    except (click.Abort, KeyboardInterrupt):
        return STOPPED
    return code if isinstance(code, int) else 0


def _fault(text: str) -> int:
    from cfgaudit.cli.output import say

    say(text)
    return FAULT


def run() -> None:
    """The console script."""
    # a run makes many objects, keeps nearly all of them and is over soon: collecting costs a tenth
    gc.disable()
    sys.exit(main())
