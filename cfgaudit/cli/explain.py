"""cfgaudit explain: what a rule looks for, and why."""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.cli.complete import rule_ids
from cfgaudit.cli.options import craft_option, dialect_option, project_option, rules_option
from cfgaudit.cli.project import terms_in_force
from cfgaudit.model.refusal import Refusal


@click.command("explain")
@click.argument("rule", shell_complete=rule_ids)
@click.option("--dump", default=None, metavar="DUMP", help="A dump: the examples are in its firmware's hand.")
@dialect_option()
@rules_option()
@craft_option("By what the project file says of this craft.")
@project_option()
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def command(
    rule: str, dump: str | None, dialect: str, rules: tuple[str, ...], craft: str, project: str, form: str
) -> int:
    """Say what RULE looks for, why, on what basis, and what is wrong and right by it.

    \b
    Example: cfgaudit explain serial/job-on-wrong-port --dump after.txt
    """
    from cfgaudit.audit.book import book, own_rules, rule_meant, shipped_rules
    from cfgaudit.audit.example import examples
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import read
    from cfgaudit.report.settings import terms_lines

    terms = terms_in_force(craft, project)
    folders = dict.fromkeys((*rules, *(one.path for one in terms.folders)))
    by_id = {one.id: one for one in book(shipped_rules(cases=True), *map(own_rules, folders))}
    if rule not in by_id:
        raise Refusal(f"there is no rule {rule}", rule_meant(rule, by_id))
    if form == "json":
        from cfgaudit.report.as_json import json_text, rules_json

        show([json_text(rules_json(cfgaudit.__version__, [by_id[rule]])).rstrip("\n")])
    else:
        from cfgaudit.report.rules import explain_text

        reading = read(dump, dialect, None) if dump is not None else None
        told = examples(by_id[rule], reading)
        hand = reading.dialect_name if reading and told.in_hand else ""
        show(explain_text(by_id[rule], style(), told, hand, terms_lines(rule, terms)))
    return 0
