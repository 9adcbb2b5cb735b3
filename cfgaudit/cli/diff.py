"""cfgaudit diff: what really changed between two dumps?"""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.cli.main import FOUND
from cfgaudit.model.refusal import Refusal


@click.command("diff")
@click.argument("before", metavar="A")
@click.argument("after", metavar="B")
@click.option("--dialect", default="", metavar="D", help="A dialect's name or file; else the headers tell.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def command(before: str, after: str, dialect: str, form: str) -> int:
    """Say what changed from dump A to dump B, what can hurt first. A and B: a file, - or REV:path.

    \b
    Example: cfgaudit diff HEAD~1:otter.txt otter.txt
    """
    from cfgaudit.cli.heads import dump_head
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import read
    from cfgaudit.report.paper import DiffPaper

    if before == after == "-":
        raise Refusal("standard input cannot be both A and B", "name a file for one of them")
    a, b = read(before, dialect), read(after, dialect)
    changes = cfgaudit.diff(a, b)
    paper = DiffPaper(cfgaudit.__version__, dump_head(a), dump_head(b))
    if form == "json":
        from cfgaudit.report.as_json import diff_json, json_text

        show([json_text(diff_json(paper, changes)).rstrip("\n")])
    else:
        from cfgaudit.report.text import diff_text

        show(diff_text(paper, changes, style()))
    return 0 if changes.same else FOUND
