"""cfgaudit preset: what would a preset do to this configuration, and what came of it?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

import cfgaudit
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
    from cfgaudit.compare.judge import Judge
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.dialect.typed import Session
    from cfgaudit.dump.text import Text
    from cfgaudit.model.sheet import Build
    from cfgaudit.report.preset.paper import PresetPaper


class Options(Struct, frozen=True):
    """What the command line asks for."""

    before: str
    preset: str
    after: str
    build: str
    craft: str
    project: str
    dialect: str
    rules: tuple[str, ...]
    format: str
    fail_at: str
    adapted: str | None
    why: bool


class Desk(Struct, frozen=True):
    """What everything is done with: the dump before, the preset, and what configurations are judged by."""

    before: Reading
    preset: Text
    sheet: Build
    judge: Judge


@click.command("preset")
@click.argument("before")
@click.argument("preset")
@click.argument("after", default="")
@click.option("--build", default="", metavar="SHEET", help="The build sheet: what is really soldered.")
@craft_option("BEFORE is of this craft of the project file.")
@project_option()
@dialect_option()
@rules_option()
@click.option("--format", type=click.Choice(["text", "json"]), default="text", show_default=True)
@fail_at_option()
@click.option("--adapted", default=None, metavar="FILE", help="Write the preset that fits to a new FILE.")
@why_option()
def command(**given: object) -> int:
    """Say what typing PRESET on top of BEFORE would do, what speaks against it, and what fits instead.

    With a dump from AFTER it was typed: what took effect, what did not, and what changed beside it.
    BEFORE, PRESET and AFTER are a file, - or REV:path from git. Nothing is typed anywhere but in text.

    \b
    Example: cfgaudit preset before.txt preset.txt --build build.yaml --adapted fits.txt
    """
    return run(Options(**given))  # type: ignore[arg-type]  # click has checked them


def run(options: Options) -> int:
    """Read, type, judge, report."""
    if (options.before, options.preset, options.after).count("-") > 1:
        raise Refusal("standard input can be only one of the files", "name the others")
    if options.after and options.adapted is not None:
        raise Refusal("a preset that was typed is not adapted any more", "leave out AFTER, or --adapted")
    if not options.before:
        raise Refusal("no dump is named", "name its file: cfgaudit preset BEFORE PRESET --build SHEET")
    named = Named(options.before, options.build, options.dialect, options.craft, options.project)
    task = task_of(named)
    return _came_of(options, task) if options.after else _would_do(options, task)


def _would_do(options: Options, task: Task) -> int:
    from cfgaudit.cli.output import show, style
    from cfgaudit.compare.preset.preset import dry_run
    from cfgaudit.dialect.shelf import shipped_fronts

    desk = _desk(options, task)
    done = dry_run(desk.before, desk.preset, desk.judge, shipped_fronts())
    _check_understood(done.session, desk.preset, known=bool(done.elsewhere))
    if options.adapted is not None:
        from cfgaudit.cli.adapted_file import write_adapted

        write_adapted(options.adapted, desk.sheet, done)
    paper = _paper(desk)
    if options.format == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.preset.data import preset_json

        show([json_text(preset_json(paper, done)).rstrip("\n")])
    else:
        from cfgaudit.report.preset.dry_run import preset_text

        show(preset_text(paper, done, style(), show_why=options.why))
    return FOUND if reaches(done.after.worst, options.fail_at) else 0


def _came_of(options: Options, task: Task) -> int:
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import read
    from cfgaudit.compare.preset.arrived import Outcome, applied
    from cfgaudit.dialect.shelf import shipped_fronts

    desk = _desk(options, task)
    after = read(options.after, task.dialect, desk.sheet)
    done = applied(desk.before, desk.preset, after, desk.judge, shipped_fronts())
    _check_understood(done.session, desk.preset, known=bool(done.elsewhere))
    paper = _paper(desk, after)
    if options.format == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.preset.data import preset_after_json

        show([json_text(preset_after_json(paper, done)).rstrip("\n")])
    else:
        from cfgaudit.report.preset.after import preset_after_text

        show(preset_after_text(paper, done, style(), show_why=options.why))
    otherwise = bool(done.of(Outcome.MISSING)) or not done.beside.same
    differs = otherwise and options.fail_at != "never"
    return FOUND if differs or reaches(done.after.worst, options.fail_at) else 0


def _desk(options: Options, task: Task) -> Desk:
    """The files read and the rules asked. Raises Refusal."""
    from cfgaudit.cli.judging import judge_of
    from cfgaudit.cli.sources import fetch, read, read_sheet

    sheet = read_sheet(task.build)
    before = read(task.dump, task.dialect, sheet)
    return Desk(before, fetch(options.preset).text(), sheet, judge_of(task, sheet, options.rules))


def _check_understood(session: Session, preset: Text, *, known: bool) -> None:
    """Refuse a text of which not a single line is understood: nothing could be said of it.

    ``known``: another version of the firmware knows some.
    """
    from cfgaudit.compare.preset.why import belongs_below
    from cfgaudit.dialect.typed import Fate

    start = Place(preset.file, 1, 1)
    if not session.typed:
        raise Refusal("the preset has no lines to type", "name the file that holds them", start)
    if known or any(one.fate is not Fate.UNKNOWN for one in session.typed):
        return
    if any(belongs_below(session.before, one.statement) for one in session.typed):
        return
    mine = session.before.dialect.name
    others = _understood_by(preset)
    for name, lines in others:
        if name != mine:
            what = f"{mine} knows no line of this preset, and {name} knows {lines} of {len(session.typed)}"
            raise Refusal(what, f"take one for {mine}: another firmware's lines do nothing here", start)
    raise Refusal(f"{mine} knows no line of this preset", f"take one that was made for {mine}", start)


def _understood_by(preset: Text) -> list[tuple[str, int]]:
    """The dialects in the box that know some of its lines, and how many, the most first."""
    from cfgaudit.dialect.shelf import shipped_dialects
    from cfgaudit.dialect.sort import sort
    from cfgaudit.dump.read import read_statements

    known = (
        (one.name, len(sort(one, read_statements(preset, one.family).statements).entries))
        for one in shipped_dialects()
    )
    return sorted(((name, lines) for name, lines in known if lines), key=lambda one: -one[1])


def _paper(desk: Desk, *after: Reading) -> PresetPaper:
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.dump.read import read_statements
    from cfgaudit.dump.statement import Kind
    from cfgaudit.report.preset.paper import PresetHead, PresetPaper

    before, preset = dump_head(desk.before), desk.preset
    statements = read_statements(preset, desk.before.dialect.family).statements
    typed = sum(one.kind not in (Kind.BLANK, Kind.REMARK) for one in statements)
    heads = tuple(
        replace(head, notes=(*head.notes, *_apart(desk.before, one)))
        for one, head in ((one, dump_head(one)) for one in after)
    )
    version = cfgaudit.__version__
    return PresetPaper(
        version, build_head(desk.sheet), PresetHead(preset.file, typed, preset.notes), before, heads
    )


def _apart(before: Reading, after: Reading) -> tuple[str, ...]:
    """What makes two dumps hard to hold against each other."""
    if before.dialect.name != after.dialect.name:
        names = f"{before.dialect.name}, and this one as {after.dialect.name}"
        return (f"the dump before was read as {names}: hardly a line can be held against the other",)
    was, now = before.recognition.version, after.recognition.version
    if was != now:
        return (f"the dump before is of version {was or 'unknown'}, and this one of {now or 'unknown'}",)
    return ()
