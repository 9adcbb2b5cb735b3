"""cfgaudit completion: what a shell needs to complete commands, options, rules and craft."""

from __future__ import annotations

import click

from cfgaudit.model.refusal import Refusal

SHELLS = {
    "bash": 'eval "$(cfgaudit completion bash)"   in ~/.bashrc',
    "zsh": 'eval "$(cfgaudit completion zsh)"   in ~/.zshrc',
    "fish": "cfgaudit completion fish > ~/.config/fish/completions/cfgaudit.fish",
}


@click.command("completion")
@click.argument("shell", type=click.Choice([*SHELLS]))
def command(shell: str) -> int:
    """Print what SHELL needs to complete commands, options, rules and craft at the tabulator key.

    Put it where the shell looks when it starts: for bash `eval "$(cfgaudit completion bash)"` in
    ~/.bashrc, for zsh the same in ~/.zshrc, for fish the output in
    ~/.config/fish/completions/cfgaudit.fish.

    \b
    Example: cfgaudit completion bash
    """
    from click.shell_completion import get_completion_class

    from cfgaudit.cli.main import cfgaudit
    from cfgaudit.cli.output import show

    made = get_completion_class(shell)
    if made is None:
        raise Refusal(f"click cannot complete for {shell}", f"name one of {', '.join(SHELLS)}")
    show([made(cfgaudit, {}, "cfgaudit", "_CFGAUDIT_COMPLETE").source().strip("\n")])
    return 0
