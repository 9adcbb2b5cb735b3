"""cfgaudit carry: a firmware update, and what becomes of a builder's settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct

import cfgaudit
from cfgaudit.cli.complete import dialect_names
from cfgaudit.cli.main import FOUND
from cfgaudit.cli.options import (
    craft_option,
    dialect_option,
    fail_at_option,
    project_option,
    reaches,
    rules_option,
    why_option,
)
from cfgaudit.cli.project import Named, Task, task_of
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.cli.sources import Source
    from cfgaudit.compare.judge import Judge
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.model.sheet import Build
    from cfgaudit.report.carry.paper import CarryPaper, Update


class Options(Struct, frozen=True):
    """What the command line asks for."""

    old_factory: str
    mine: str
    new_factory: str
    after: str
    build: str
    craft: str
    project: str
    dialect: str
    new_dialect: str
    rules: tuple[str, ...]
    format: str
    fail_at: str
    script: str | None
    keep_private: bool
    all: bool
    why: bool


class Files(Struct, frozen=True):
    """The dumps, and the build sheet if one is named; ``after`` and ``sheet`` hold one at most."""

    old: Reading
    mine: Reading
    new: Reading
    after: tuple[Reading, ...]
    sheet: tuple[Build, ...]


@click.command("carry")
@click.option("--old-factory", required=True, metavar="DUMP", help="The firmware you have, untouched.")
@click.option("--mine", required=True, metavar="DUMP", help="The firmware you have, as you set it.")
@click.option("--new-factory", required=True, metavar="DUMP", help="The new firmware, untouched.")
@click.option("--after", default="", metavar="DUMP", help="A dump after the update: what came of the plan.")
@click.option("--build", default="", metavar="SHEET", help="The build sheet, to audit what comes out.")
@craft_option("The dumps are of this craft of the project file.")
@project_option()
@dialect_option("A dialect's name or file; else the headers tell.")
@click.option(
    "--new-dialect",
    default="",
    metavar="D",
    help="That of the new firmware, if it is another.",
    shell_complete=dialect_names,
)
@rules_option()
@click.option("--format", type=click.Choice(["text", "json"]), default="text", show_default=True)
@fail_at_option()
@click.option("--script", default=None, metavar="FILE", help="Write the script to a new FILE.")
@click.option("--keep-private", is_flag=True, help="Private values stand in that FILE as well.")
@click.option("--all", is_flag=True, help="List what is only counted: all that is carried over as it is.")
@why_option()
def command(**given: object) -> int:
    """Plan a firmware update: what becomes of each setting that you changed, and the lines to type.

    Each DUMP is a file, - or REV:path from git. What is not sure to be right is told, and left to you.

    \b
    Example: cfgaudit carry --old-factory old.txt --mine mine.txt --new-factory new.txt --build build.yaml
    """
    return run(Options(**given))  # type: ignore[arg-type]  # click has checked them


def run(options: Options) -> int:
    """Read, plan, judge, report."""
    from cfgaudit.compare.carry.arrived import arrival
    from cfgaudit.compare.carry.carry import plan
    from cfgaudit.compare.carry.checked import checked
    from cfgaudit.report.carry.paper import Update

    _check(options)
    task = _task(options)
    files = _files(options, task)
    planned = plan(files.old, files.mine, files.new)
    judges = _judge(options, task, files)
    # the mends that the plan offered are explained if they are there
    mended = [
        judge.remedied(planned.planned, judge(planned.planned)).after for judge in judges if files.after
    ]
    came = tuple(arrival(planned, one, mended) for one in files.after)
    result = files.after[0] if files.after else planned.planned
    update = Update(planned, came, tuple(checked(planned, result, judge) for judge in judges))
    paper = _paper(files)
    if options.script is not None:
        from cfgaudit.cli.script_file import write_script

        write_script(options.script, paper, planned, keep_private=options.keep_private)
    _show(options, paper, update)
    return _code(options, update)


def _check(options: Options) -> None:
    if (options.old_factory, options.mine, options.new_factory, options.after).count("-") > 1:
        raise Refusal("standard input can be only one of the dumps", "name files for the others")
    if options.keep_private and options.script is None:
        raise Refusal("--keep-private is about the file of the script", "name it with --script FILE")


def _task(options: Options) -> Task:
    """What the builder's dump is judged by; a sheet is needed only if one is asked for."""
    if options.build or options.craft or options.project:
        named = Named(options.mine, options.build, options.dialect, options.craft, options.project)
        return task_of(named)
    return Task(options.mine, "", options.dialect)


def _files(options: Options, task: Task) -> Files:
    """Read them all. Raises Refusal."""
    from cfgaudit.cli.sources import fetch, read_sheet

    sheet = (read_sheet(task.build),) if task.build else ()
    board = sheet[0] if sheet else None
    old, mine, new = fetch(options.old_factory), fetch(task.dump), fetch(options.new_factory)
    after = [fetch(options.after)] if options.after else []
    as_it_came, as_it_is = old.read(task.dialect, board), mine.read(task.dialect, board)
    if as_it_came.dialect.name != as_it_is.dialect.name:
        what = f"this is of {as_it_came.dialect.name}, and your dump {task.dump} of {as_it_is.dialect.name}"
        raise Refusal(what, "give the dump of the firmware that yours began as", Place(old.name, 1, 1))
    as_it_comes = new.read(_new_dialect(options, task, new), board)
    later = tuple(one.read(_new_dialect(options, task, one), board) for one in after)
    for one in later:
        if one.dialect.name != as_it_comes.dialect.name:
            what = f"this is of {one.dialect.name}, and the new factory dump of {as_it_comes.dialect.name}"
            raise Refusal(what, "give a dump that was taken after the update", Place(one.dump.file, 1, 1))
    return Files(as_it_came, as_it_is, as_it_comes, later, sheet)


def _new_dialect(options: Options, task: Task, dump: Source) -> str:
    """The dialect of a dump of the new firmware; "" if its header tells: another one than the old one's."""
    if options.new_dialect or not task.dialect:
        return options.new_dialect
    from cfgaudit.dialect.recognise import as_dialect
    from cfgaudit.dialect.shelf import named_dialect

    fits = as_dialect(dump.text(), named_dialect(task.dialect)).matched
    return task.dialect if fits or not dump.is_known() else ""


def _judge(options: Options, task: Task, files: Files) -> tuple[Judge, ...]:
    """What configurations are judged by, if there is a sheet."""
    from cfgaudit.cli.judging import judge_of

    return tuple(judge_of(task, sheet, options.rules) for sheet in files.sheet)


def _paper(files: Files) -> CarryPaper:
    from cfgaudit.cli.carry_notes import carry_notes
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.report.carry.paper import CarryPaper

    return CarryPaper(
        cfgaudit.__version__,
        dump_head(files.old),
        dump_head(files.mine),
        dump_head(files.new),
        tuple(map(dump_head, files.after)),
        tuple(map(build_head, files.sheet)),
        tuple(carry_notes(files.old, files.mine, files.new, files.after)),
    )


def _show(options: Options, paper: CarryPaper, update: Update) -> None:
    from cfgaudit.cli.output import show, style

    if options.format == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.carry.data import carry_json

        show([json_text(carry_json(paper, update)).rstrip("\n")])
    else:
        from cfgaudit.report.carry.carry import carry_text

        show(carry_text(paper, update, style(), show_all=options.all, show_why=options.why))


def _code(options: Options, update: Update) -> int:
    from cfgaudit.compare.carry.fate import DOUBTFUL, Fate

    if options.fail_at == "never":
        return 0
    fates = {one.fate for one in update.plan.carried}
    doubtful = bool(fates & ({*DOUBTFUL} - {Fate.UNSAID}))
    otherwise = any(one.missing or not one.beside.same for one in update.arrival)
    found = any(reaches(one.after.worst, options.fail_at) for one in update.checked)
    return FOUND if doubtful or otherwise or found else 0
