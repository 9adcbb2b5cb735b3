"""cfgaudit baseline check: is it still the aircraft that flew well?"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource
from msgspec import Struct
from msgspec.structs import replace

import cfgaudit
from cfgaudit.cli.complete import craft_names
from cfgaudit.cli.main import FAULT, FOUND
from cfgaudit.cli.options import (
    craft_option,
    dialect_option,
    fail_at_option,
    key_option,
    project_option,
    reaches,
    rules_option,
    why_option,
)
from cfgaudit.cli.project import Named, Task, each_task, task_of
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.baseline.drift import Drift
    from cfgaudit.report.baseline.paper import DriftPaper


class Options(Struct, frozen=True):
    """What the command line asks for."""

    dump: str
    craft: str
    project: str
    build: str
    against: str
    dialect: str
    key: str
    rules: tuple[str, ...]
    format: str
    fail_at: str
    why: bool
    show_settings: bool


@click.command("check")
@click.argument("dump", default="", metavar="[DUMP|CRAFT]", shell_complete=craft_names)
@craft_option("DUMP is of this craft of the project file.")
@project_option()
@click.option("--build", default="", metavar="SHEET", help="The build sheet, where no project file names it.")
@click.option(
    "--against", default="", metavar="BASELINE", help="Another baseline: a file, or REV:path from git."
)
@dialect_option()
@key_option()
@rules_option()
@click.option("--format", type=click.Choice(["text", "json"]), default="text", show_default=True)
@fail_at_option(
    "The level from which a new finding makes the exit code 1; a change always does, but with never."
)
@why_option()
@click.option(
    "--show-settings", is_flag=True, help="Say what is in force and from where, and do nothing else."
)
def command(**given: object) -> int:
    """Hold a fresh DUMP against the recorded baseline: what drifted, which findings are new.

    Without a name each craft of the project that has a baseline is checked.

    \b
    Example: cfgaudit baseline check fresh.txt --craft otter
    """
    return run(Options(**given))  # type: ignore[arg-type]  # click has checked them


def run(options: Options) -> int:
    """Read, compare, judge, report."""
    named = Named(options.dump, options.build, options.dialect, options.craft, options.project)
    if options.show_settings:
        return _show_settings(options, named)
    if named.all_craft:
        return _all(options, each_task(named, recorded=True))
    done = _done(options, _held_against(options, task_of(named)))
    _show(options, *done)
    return _code(options, done[1])


def _show_settings(options: Options, named: Named) -> int:
    from cfgaudit.cli.settings import show_settings, told

    said = {
        "key": _key_in_force(options.key),
        "fail at": told(options.fail_at, "warning"),
        "format": told(options.format, "text"),
    }
    if named.all_craft:
        _refuse_one_for_all(options)
        return show_settings(each_task(named, recorded=True), options.format, said, options.rules)
    task = _held_against(options, task_of(named))
    return show_settings([(task.craft, task)], options.format, said, options.rules)


def _key_in_force(key: str) -> tuple[str, str]:
    from cfgaudit.baseline.key import usual_key_file
    from cfgaudit.cli.settings import LINE, NOBODY, USUAL

    if not key:
        usual = usual_key_file()
        return (usual, USUAL) if usual else ("none", NOBODY)
    source = click.get_current_context().get_parameter_source("key")
    return key, "CFGAUDIT_KEY" if source is ParameterSource.ENVIRONMENT else LINE


def _held_against(options: Options, task: Task) -> Task:
    """The task with the baseline that the command line names, if it names one."""
    if not options.against:
        return task
    places = {what: place for what, place in task.places.items() if what != "baseline"}
    return replace(task, baseline=options.against, places=places)


def _refuse_one_for_all(options: Options) -> None:
    if options.against:
        raise Refusal("one baseline cannot be that of every craft", "name the craft with --craft")


def _all(options: Options, wanted: Iterable[tuple[str, Task | Refusal]]) -> int:
    """Craft after craft: one that cannot be checked is one line, and no reason to leave out others."""
    from cfgaudit.cli.output import say, show

    _refuse_one_for_all(options)
    codes, faults = [], {}
    reports: list[tuple[str, DriftPaper, Drift]] = []
    for craft, task in wanted:
        try:
            if isinstance(task, Refusal):
                raise task
            paper, drift = _done(options, task)
        except Refusal as refusal:
            faults[craft] = str(refusal)
            say(f"{craft}: {refusal}")
            codes.append(FAULT)
            continue
        if options.format == "text":
            show([""] if codes else [])
            _show(options, paper, drift)
        codes.append(_code(options, drift))
        reports.append((craft, paper, drift))
    if not codes:
        raise Refusal(
            "no craft of this project has a baseline",
            "record one: cfgaudit baseline record DUMP --craft NAME",
        )
    if options.format == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.baseline.drift_data import drifts_json

        show([json_text(drifts_json(cfgaudit.__version__, reports, faults)).rstrip("\n")])
    return max(codes)


def _done(options: Options, task: Task) -> tuple[DriftPaper, Drift]:
    from cfgaudit.baseline.drift import drift
    from cfgaudit.baseline.key import sealer_in, usual_key_file
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.cli.judging import judge_of
    from cfgaudit.cli.sources import fetch, read_sheet
    from cfgaudit.report.baseline.paper import DriftPaper

    if not task.baseline:
        mend = "write baseline below its name in the project file, or name one with --against"
        raise Refusal(f"nothing says where the baseline of {task.craft or task.dump} is kept", mend)
    if os.path.normpath(task.baseline) == os.path.normpath(task.dump):
        mend = f"name a fresh one: cfgaudit baseline check DUMP --craft {task.craft}"
        raise Refusal(f"the dump of {task.craft or 'this craft'} is the baseline itself", mend)
    if task.craft and not options.against and not os.path.exists(task.baseline):
        mend = f"record one: cfgaudit baseline record DUMP --craft {task.craft}"
        raise Refusal(f"{task.craft} has no baseline yet", mend, Place(task.baseline, 1, 1))
    sheet = read_sheet(task.build)
    fresh = fetch(task.dump).read(task.dialect, sheet)
    recorded = fetch(task.baseline).read(task.dialect, sheet)
    judge = judge_of(task, sheet, options.rules)
    found = drift(recorded, fresh, sealer_in(options.key or usual_key_file(), make=False), judge)
    paper = DriftPaper(cfgaudit.__version__, build_head(sheet), dump_head(fresh), dump_head(recorded))
    return paper, found


def _show(options: Options, paper: DriftPaper, drift: Drift) -> None:
    from cfgaudit.cli.output import show, style

    if options.format == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.baseline.drift_data import drift_json

        show([json_text(drift_json(paper, drift)).rstrip("\n")])
        return
    from cfgaudit.report.baseline.drift import drift_text

    show(drift_text(paper, drift, style(), show_why=options.why))


def _code(options: Options, drift: Drift) -> int:
    """Drift counts, and findings that the baseline had not."""
    if options.fail_at == "never":
        return 0
    levels = [one.level for root in drift.findings.brought for one in (root, *root.follows)]
    worst = min(levels, key=lambda level: level.rank).value if levels else ""
    return FOUND if not drift.same or reaches(worst, options.fail_at) else 0
