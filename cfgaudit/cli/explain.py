"""cfgaudit explain: what a rule looks for, and why."""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.model.refusal import Refusal


@click.command("explain")
@click.argument("rule")
@click.option("--rules", multiple=True, metavar="DIR", help="A folder with rules of your own, beside ours.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def command(rule: str, rules: tuple[str, ...], form: str) -> int:
    """Say what RULE looks for, why, and on what basis.

    \b
    Example: cfgaudit explain serial/job-on-wrong-port
    """
    from cfgaudit.audit.book import book, own_rules, rule_meant, shipped_rules
    from cfgaudit.cli.output import show, style

    by_id = {one.id: one for one in book(shipped_rules(), *map(own_rules, rules))}
    if rule not in by_id:
        raise Refusal(f"there is no rule {rule}", rule_meant(rule, by_id))
    if form == "json":
        from cfgaudit.report.as_json import json_text, rules_json

        show([json_text(rules_json(cfgaudit.__version__, [by_id[rule]])).rstrip("\n")])
    else:
        from cfgaudit.report.text import explain_text

        show(explain_text(by_id[rule], style()))
    return 0
