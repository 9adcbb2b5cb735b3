"""cfgaudit audit: does this configuration fit this hardware?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct

import cfgaudit
from cfgaudit.cli.bench import check_list_format
from cfgaudit.cli.complete import craft_names
from cfgaudit.cli.main import FAULT, FOUND
from cfgaudit.cli.options import (
    craft_option,
    dialect_option,
    fail_at_option,
    project_option,
    reaches,
    rules_option,
    why_option,
)
from cfgaudit.cli.project import Named, Task, each_task, task_of
from cfgaudit.cli.workflow import FORMATS as WORKFLOW
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cfgaudit.audit.finding import Audit
    from cfgaudit.audit.rule import Rule
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.dialect.write import Lines
    from cfgaudit.model.sheet import Build
    from cfgaudit.report.paper import Audited, AuditPaper, NotAudited


class Options(Struct, frozen=True):
    """What the command line asks for."""

    dump: str
    build: str
    dialect: str
    craft: str
    project: str
    rules: tuple[str, ...]
    format: str
    fail_at: str
    mend: str | None  # the file to write mends to, if they are wanted
    not_judged: bool
    why: bool
    bench: bool
    to_git: bool
    show_settings: bool


class Done(Struct, frozen=True):
    """A task, and what came of it."""

    task: Task
    reading: Reading
    sheet: Build
    rules: tuple[Rule, ...]
    outcome: Audit
    mends: Lines  # empty if they are not wanted

    @property
    def paper(self) -> AuditPaper:
        """The report's head."""
        from cfgaudit.cli.heads import build_head, dump_head
        from cfgaudit.report.paper import AuditPaper

        return AuditPaper(cfgaudit.__version__, dump_head(self.reading), build_head(self.sheet))

    def audited(self, form: str) -> Audited:
        """All of it as a report takes it; lines to change in the dump only where the form can say them."""
        from cfgaudit.cli.workflow import fixes
        from cfgaudit.report.paper import Audited

        changes = fixes(self.reading, self.outcome) if form == "sarif" else {}
        return Audited(self.task.craft, self.paper, self.outcome, self.rules, changes)


@click.command("audit")
@click.argument("dump", default="", metavar="[DUMP|CRAFT]", shell_complete=craft_names)
@click.option("--build", default="", metavar="SHEET", help="The build sheet: what is really soldered.")
@craft_option("DUMP is of this craft of the project file.")
@project_option()
@dialect_option()
@rules_option()
@click.option(
    "--format",
    type=click.Choice(["text", "json", *WORKFLOW]),
    default="text",
    show_default=True,
    help="text is for people, markdown for a pull request, the others for programs.",
)
@fail_at_option()
@click.option("--mend", default=None, metavar="FILE", help="Write the mends to a new FILE, and FILE.undo.")
@click.option("--not-judged", is_flag=True, help="List what could not be judged, and what is missing.")
@why_option()
@click.option("--to-git", is_flag=True, help="The dump is to go into git: find its private values.")
@click.option("--bench", is_flag=True, help="A checklist for the bench instead, as text or Markdown.")
@click.option(
    "--show-settings", is_flag=True, help="Say what is in force and from where, and do nothing else."
)
def command(**given: object) -> int:
    """Check DUMP against the build sheet. DUMP is a file, - or REV:path from git.

    With a project file the name of a craft is enough, and without a name each of its craft is audited.

    \b
    Example: cfgaudit audit after.txt --build build.yaml --mend mends.txt
    """
    return run(Options(**given))  # type: ignore[arg-type]  # click has checked them


def run(options: Options) -> int:
    """Read, judge, report."""
    check_list_format(options.format, bench=options.bench)
    named = Named(options.dump, options.build, options.dialect, options.craft, options.project)
    if options.show_settings:
        from cfgaudit.cli.settings import show_settings, told

        said = {"fail at": told(options.fail_at, "warning"), "format": told(options.format, "text")}
        return show_settings(each_task(named), options.format, said, options.rules)
    if named.all_craft:
        return _all(options, each_task(named))
    done = _done(options, task_of(named))
    if options.mend is not None:
        from cfgaudit.cli.mend_file import write_mends

        write_mends(options.mend, done.reading, done.sheet, done.mends)
    _show(options, done)
    return _code(options, done)


def _all(options: Options, wanted: Iterable[tuple[str, Task | Refusal]]) -> int:
    """Audit craft after craft: one that cannot be audited is one line, and no reason to leave out others."""
    from cfgaudit.cli.output import say, show

    if options.mend is not None:
        raise Refusal(
            "mends are written for one craft at a time", "name it: cfgaudit audit CRAFT --mend FILE"
        )
    from cfgaudit.cli.workflow import not_audited, report

    codes = [0]
    crafts: list[Audited | NotAudited] = []
    one_document = options.format in WORKFLOW and not options.bench
    reports: list[tuple[str, AuditPaper, Audit]] = []
    faults: dict[str, str] = {}
    for craft, task in wanted:
        try:
            if isinstance(task, Refusal):
                raise task
            done = _done(options, task)
        except Refusal as refusal:
            faults[craft] = str(refusal)
            crafts.append(not_audited(craft, refusal))
            say(f"{craft}: {refusal}")
            codes.append(FAULT)
            continue
        codes.append(_code(options, done))
        if options.format == "json":
            reports.append((craft, done.paper, done.outcome))
        elif one_document:
            crafts.append(done.audited(options.format))
        else:
            show([""] if len(codes) > 2 else [])
            _show(options, done, alone=False)
    if options.format == "json":
        from cfgaudit.report.as_json import audits_json, json_text

        show([json_text(audits_json(cfgaudit.__version__, reports, faults)).rstrip("\n")])
    elif one_document:
        show(report(options.format, cfgaudit.__version__, crafts, why=options.why))
    return max(codes)


def _done(options: Options, task: Task) -> Done:
    """One task: its files read, the rules asked, the mends found if they are wanted. Raises Refusal."""
    from cfgaudit.audit.audit import audit
    from cfgaudit.cli.judging import judge_of
    from cfgaudit.cli.sources import read, read_sheet
    from cfgaudit.dialect.write import Lines

    sheet = read_sheet(task.build)
    reading = read(task.dump, task.dialect, sheet)
    judge = judge_of(task, sheet, options.rules)
    outcome = audit(reading, sheet, judge.rules, judge.terms, judge.today, to_git=options.to_git)
    mends = Lines((), ())
    if options.mend is not None or options.bench:
        mends = judge.remedied(reading, outcome).lines
    return Done(task, reading, sheet, judge.rules, outcome, mends)


def _show(options: Options, done: Done, *, alone: bool = True) -> None:
    """Print a report; of one among several without the list of rules that hold."""
    from cfgaudit.cli.output import show, style

    if options.bench:
        from cfgaudit.cli.bench import Desk, audit_list, show_list

        task = done.task
        desk = Desk(task.build, task.dialect, options.rules, options.mend or "", task.craft, task.project)
        show_list(options.format, *audit_list(desk, done.reading, done.sheet, done.outcome, done.mends))
    elif options.format == "json":
        from cfgaudit.report.as_json import audit_json, json_text

        show([json_text(audit_json(done.paper, done.outcome)).rstrip("\n")])
    elif options.format in WORKFLOW:
        from cfgaudit.cli.workflow import report

        show(report(options.format, cfgaudit.__version__, [done.audited(options.format)], why=options.why))
    else:
        from cfgaudit.report.audit import audit_text

        more = {"show_not_judged": options.not_judged, "show_why": options.why, "show_holding": alone}
        show(audit_text(done.paper, done.outcome, style(), **more))


def _code(options: Options, done: Done) -> int:
    return FOUND if reaches(done.outcome.worst, options.fail_at) else 0
