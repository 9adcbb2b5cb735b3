"""cfgaudit audit: does this configuration fit this hardware?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct

import cfgaudit
from cfgaudit.cli.bench import FORMATS, check_format
from cfgaudit.cli.main import FOUND

if TYPE_CHECKING:
    from datetime import date

    from cfgaudit.audit.finding import Audit
    from cfgaudit.audit.rule import Rule
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.dialect.write import Lines
    from cfgaudit.model.sheet import Build


class Options(Struct, frozen=True):
    """What the command line asks for."""

    dump: str
    build: str
    dialect: str
    rules: tuple[str, ...]
    format: str
    fail_at: str
    mend: str | None  # the file to write mends to, if they are wanted
    not_judged: bool
    why: bool
    bench: bool
    to_git: bool


@click.command("audit")
@click.argument("dump")
@click.option("--build", required=True, metavar="SHEET", help="The build sheet: what is really soldered.")
@click.option("--dialect", default="", metavar="D", help="A dialect's name or file; else the header tells.")
@click.option("--rules", multiple=True, metavar="DIR", help="A folder with rules of your own, beside ours.")
@click.option("--format", type=click.Choice(FORMATS), default="text", show_default=True)
@click.option(
    "--fail-at",
    type=click.Choice(["error", "warning", "note", "never"]),
    default="warning",
    show_default=True,
    help="The level from which findings make the exit code 1.",
)
@click.option("--mend", default=None, metavar="FILE", help="Write the mends to a new FILE, and FILE.undo.")
@click.option("--not-judged", is_flag=True, help="List what could not be judged, and what is missing.")
@click.option("--why/--no-why", default=True, show_default=True, help="Say why each finding matters.")
@click.option("--to-git", is_flag=True, help="The dump is to go into git: find its private values.")
@click.option("--bench", is_flag=True, help="A checklist for the bench instead, as text or Markdown.")
def command(**given: object) -> int:
    """Check DUMP against the build sheet. DUMP is a file, - or REV:path from git.

    \b
    Example: cfgaudit audit after.txt --build build.yaml --mend mends.txt
    """
    return run(Options(**given))  # type: ignore[arg-type]  # click has checked them


def run(options: Options) -> int:
    """Read, judge, report."""
    from cfgaudit.audit.audit import audit
    from cfgaudit.audit.book import rules_by
    from cfgaudit.cli.clock import today
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import read
    from cfgaudit.report.paper import AuditPaper

    check_format(options.format, bench=options.bench)
    sheet = cfgaudit.read_build(options.build)
    reading = read(options.dump, options.dialect, sheet)
    terms, day = sheet.terms, today()
    rules = rules_by(terms, options.rules)
    outcome = audit(reading, sheet, rules, terms, day, to_git=options.to_git)
    mends = _mends(options, reading, sheet, rules, outcome, day)
    paper = AuditPaper(cfgaudit.__version__, dump_head(reading), build_head(sheet))
    if options.bench:
        from cfgaudit.cli.bench import Desk, audit_list, show_list

        desk = Desk(options.build, options.dialect, options.rules, options.mend or "")
        show_list(options.format, *audit_list(desk, reading, sheet, outcome, mends))
    elif options.format == "json":
        from cfgaudit.report.as_json import audit_json, json_text

        show([json_text(audit_json(paper, outcome)).rstrip("\n")])
    else:
        from cfgaudit.report.text import audit_text

        show(audit_text(paper, outcome, style(), show_not_judged=options.not_judged, show_why=options.why))
    return FOUND if reaches(outcome.worst, options.fail_at) else 0


def _mends(
    options: Options, reading: Reading, sheet: Build, rules: tuple[Rule, ...], outcome: Audit, day: date
) -> Lines:
    """The lines that mend what can be mended, if they are wanted; written to the file, if one is named."""
    from cfgaudit.dialect.write import Lines

    if options.mend is None and not options.bench:
        return Lines((), ())
    from cfgaudit.audit.remedy import remedy

    mends = remedy(reading, sheet, rules, outcome, sheet.terms, day)
    if options.mend is not None:
        from cfgaudit.cli.mend_file import write_mends

        write_mends(options.mend, reading, sheet, mends)
    return mends


def reaches(worst: str, fail_at: str) -> bool:
    """Whether the weightiest level found is at or above the one that counts; "" is none found."""
    levels = ("error", "warning", "note")
    return fail_at != "never" and worst != "" and levels.index(worst) <= levels.index(fail_at)
