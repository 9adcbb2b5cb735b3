"""cfgaudit numbers: what the chip, the lines, the motors, the screen and the battery can really do."""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.cli.complete import craft_names
from cfgaudit.cli.options import craft_option, dialect_option, project_option
from cfgaudit.cli.project import Named, task_of


@click.command("numbers")
@click.argument("dump", default="", metavar="[DUMP|CRAFT]", shell_complete=craft_names)
@click.option("--build", default="", metavar="SHEET", help="The build sheet: what is really soldered.")
@craft_option("DUMP is of this craft of the project file.")
@project_option()
@dialect_option()
@click.option("--only", multiple=True, metavar="SUBJECT", help="One subject, such as line; may come again.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def command(
    dump: str, build: str, craft: str, project: str, dialect: str, only: tuple[str, ...], form: str
) -> int:
    """Show every figure reckoned from DUMP and build sheet, with its sum and its source.

    DUMP is a file, - or REV:path from git; with a project file the name of a craft is enough. A figure
    that lacks an input says what it needs.

    \b
    Example: cfgaudit numbers known-good.txt --build build.yaml --only line
    """
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import read, read_sheet
    from cfgaudit.derive.numbers import SUBJECTS, tables
    from cfgaudit.model.refusal import Refusal
    from cfgaudit.report.paper import AuditPaper

    for subject in only:
        if subject not in SUBJECTS:
            raise Refusal(f"no subject is called {subject!r}", f"name one of {', '.join(SUBJECTS)}")
    task = task_of(Named(dump, build, dialect, craft, project))
    sheet = read_sheet(task.build)
    reading = read(task.dump, task.dialect, sheet)
    paper = AuditPaper(cfgaudit.__version__, dump_head(reading), build_head(sheet))
    reckoned = tuple(tables(reading.model.tree, sheet.tree, only))
    if form == "json":
        from cfgaudit.report.as_json import json_text, numbers_json

        show([json_text(numbers_json(paper, reckoned)).rstrip("\n")])
    else:
        from cfgaudit.report.numbers import numbers_text

        show(numbers_text(paper, reckoned, style()))
    return 0
