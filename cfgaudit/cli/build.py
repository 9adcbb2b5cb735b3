"""cfgaudit build: build sheets by themselves; checking one."""

from __future__ import annotations

import click

import cfgaudit
from cfgaudit.cli.group import Group
from cfgaudit.cli.main import FAULT, FOUND
from cfgaudit.cli.options import dialect_option, fail_at_option, rules_option, why_option


@click.group("build", cls=Group)
def command() -> None:
    """Build sheets: draft one from a dump, or check one by itself.

    \b
    Example: cfgaudit build check build.yaml
    """


@command.command("draft")
@click.argument("dump", metavar="DUMP")
@dialect_option()
@click.option("--out", metavar="FILE", help="Write to a new file instead of standard output.")
def draft_sheet(dump: str, dialect: str, out: str | None) -> int:
    """Draft a first build sheet from DUMP, to be corrected with the craft in front of you.

    DUMP is a file, - or REV:path from git. The draft says what the dump says: beside each line stands
    where it was taken from and what to look at. It proves nothing until a person has looked at every
    line: what is wrong in the dump is wrong in it as well.

    \b
    Example: cfgaudit build draft known-good.txt --out build.yaml
    """
    from cfgaudit.cli.output import say, show
    from cfgaudit.cli.own_file import refuse_if_there, write_new
    from cfgaudit.cli.sources import read
    from cfgaudit.derive.sheet.draft import draft

    if out is not None:
        refuse_if_there(out)
    made = draft(read(dump, dialect))
    if out is None:
        show([made.text.rstrip("\n")])
        return 0
    write_new(out, made.text)
    say(
        f"draft written to {out}: {made.taken} lines taken from the dump, {made.to_fill_in} to fill in; "
        "it proves nothing until a person has looked at every line"
    )
    return 0


@command.command("check")
@click.argument("sheet", metavar="SHEET")
@rules_option()
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@fail_at_option()
@why_option()
def check(sheet: str, rules: tuple[str, ...], form: str, fail_at: str, why: bool) -> int:
    """Judge SHEET by itself, without any dump, and list what it leaves out.

    A sheet with faults is not judged: each of them is said in a line of its own. What the sheet
    leaves out is listed by how many rules wait for it.

    \b
    Example: cfgaudit build check build.yaml
    """
    from cfgaudit.audit.alone import audit_alone
    from cfgaudit.audit.book import rules_by
    from cfgaudit.audit.left_out import left_out
    from cfgaudit.audit.weigh import weighed
    from cfgaudit.cli.clock import today
    from cfgaudit.cli.heads import build_head
    from cfgaudit.cli.options import reaches
    from cfgaudit.cli.output import say, show, style
    from cfgaudit.model.placed import load
    from cfgaudit.model.sheet import build_from, sheet_faults
    from cfgaudit.report.paper import BuildPaper

    placed = load(sheet)
    faults = sheet_faults(placed)
    if faults:
        for fault in faults:
            say(str(fault))
        return FAULT
    build = build_from(placed)
    every = rules_by(build.terms, rules)
    outcome = audit_alone(build, every, build.terms, today())
    gaps = left_out(build, weighed(every, build.terms.levels)[0])
    paper = BuildPaper(cfgaudit.__version__, build_head(build))
    if form == "json":
        from cfgaudit.report.as_json import build_json, json_text

        show([json_text(build_json(paper, outcome, gaps)).rstrip("\n")])
    else:
        from cfgaudit.report.build import build_text

        show(build_text(paper, outcome, gaps, style(), show_why=why))
    return FOUND if reaches(outcome.worst, fail_at) else 0
