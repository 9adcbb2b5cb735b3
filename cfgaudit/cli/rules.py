"""cfgaudit rules: list the rules, or check them by their own cases."""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.cli.group import Group
from cfgaudit.cli.main import FOUND
from cfgaudit.cli.options import craft_option, project_option, rules_option
from cfgaudit.cli.project import terms_in_force


@click.group("rules", cls=Group)
def command() -> None:
    """List the rules, or check them by their own cases.

    \b
    Example: cfgaudit rules list
    """


@command.command("list")
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option("--subject", default="", metavar="SUBJECT", help="Those of one subject, such as serial.")
@click.option("--level", type=click.Choice(["error", "warning", "note"]), help="Those of one level.")
@rules_option()
@craft_option("By what the project file says of this craft.")
@project_option()
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def list_rules(
    words: tuple[str, ...],
    subject: str,
    level: str | None,
    rules: tuple[str, ...],
    craft: str,
    project: str,
    form: str,
) -> int:
    """All rules by subject, one a line, or those that have each WORD in id, title or reason.

    In a project they are those in force there: its own beside ours, with the levels that it gives them.

    \b
    Example: cfgaudit rules list --level error compass
    """
    from cfgaudit.audit.book import book, own_rules, shipped_rules
    from cfgaudit.audit.search import search
    from cfgaudit.audit.weigh import weighed
    from cfgaudit.cli.output import show, style

    terms = terms_in_force(craft, project)
    folders = dict.fromkeys((*rules, *(one.path for one in terms.folders)))
    weighty, _ = weighed(book(shipped_rules(), *map(own_rules, folders)), terms.levels)
    every = tuple(search(weighty, words, subject, level or ""))
    if form == "json":
        from cfgaudit.report.as_json import json_text, rules_json

        show([json_text(rules_json(cfgaudit.__version__, every)).rstrip("\n")])
    else:
        from cfgaudit.report.rules import rules_list_text

        show(rules_list_text(every, style()))
    return 0


@command.command("check")
@click.argument("folders", nargs=-1, metavar="[DIR]...")
def check(folders: tuple[str, ...]) -> int:
    """Run every rule's cases: the shipped rules, and those in DIR.

    \b
    Example: cfgaudit rules check my-rules
    """
    from cfgaudit.audit.book import book, own_rules, shipped_rules
    from cfgaudit.audit.cases import check_case
    from cfgaudit.cli.output import show
    from cfgaudit.report.safe import safe

    every = book(shipped_rules(cases=True), *map(own_rules, folders))
    cases = [(rule, case) for rule in every for case in rule.cases]
    wrong = [answer for rule, case in cases if (answer := check_case(rule, case))]
    show(safe(f"{one.place}: {one.rule} {one.text}") for one in wrong)
    show(
        [
            f"{len(every)} rules, {len(cases)} cases: "
            + (f"{len(wrong)} wrong" if wrong else "all as they say")
        ]
    )
    return FOUND if wrong else 0
