"""What a shell may complete beside commands and options: rules, craft, dialects."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem


def rule_ids(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """The rules in the box that begin so, with their titles."""
    from click.shell_completion import CompletionItem

    from cfgaudit.audit.book import shipped_rules

    return [
        CompletionItem(rule.id, help=rule.title) for rule in shipped_rules() if rule.id.startswith(incomplete)
    ]


def craft_names(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """The craft of the project that begin so; where there is none, files."""
    from click.shell_completion import CompletionItem

    from cfgaudit.model.project import found_above, read_project
    from cfgaudit.model.refusal import Refusal

    try:
        file = ctx.params.get("project") or found_above(".")
        names = [one.name for one in read_project(file).craft] if file else []
    except Refusal:
        names = []
    found = [CompletionItem(name) for name in names if name.startswith(incomplete)]
    files = [] if param.param_type_name == "option" else [CompletionItem(incomplete, type="file")]
    return [*found, *files]


def dialect_names(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """The dialects in the box that begin so, and files."""
    from click.shell_completion import CompletionItem

    from cfgaudit.dialect.shelf import shipped_fronts

    names = sorted(front.name for front in shipped_fronts() if front.name.startswith(incomplete))
    return [*map(CompletionItem, names), CompletionItem(incomplete, type="file")]
