"""--show-settings: what is in force, and from where, instead of a report."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import cfgaudit
from cfgaudit.cli.main import FAULT
from cfgaudit.cli.project import Task
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.terms import ForGood, Terms
from cfgaudit.report.settings import CraftInForce, InForce

LINE, USUAL, NOBODY = "the command line", "usual", "nobody says"


def told(value: str, usual: str) -> tuple[str, str]:
    """The value of an option, and who says it."""
    return value, USUAL if value == usual else LINE


def show_settings(
    wanted: Iterable[tuple[str, Task | Refusal]],
    form: str,
    options: Mapping[str, tuple[str, str]],
    rules: Iterable[str],
) -> int:
    """Print what is in force for each task, by its craft, or why nothing is.

    ``options``: by name, the value of each and who says it.
    """
    from cfgaudit.cli.output import say, show, style
    from cfgaudit.report.as_json import json_text
    from cfgaudit.report.settings import settings_json, settings_text

    rules = tuple(rules)
    every: list[CraftInForce] = []
    faults = 0
    for craft, task in wanted:
        if isinstance(task, Refusal):
            say(f"{craft}: {task}")
            faults += 1
        else:
            every.append(CraftInForce(craft, tuple(_in_force(task, options, rules))))
    if form == "json":
        show([json_text(settings_json(cfgaudit.__version__, every)).rstrip("\n")])
    else:
        show(list(settings_text(every, style()))[:-1])
    return FAULT if faults else 0


def _in_force(
    task: Task, options: Mapping[str, tuple[str, str]], rules: tuple[str, ...]
) -> Iterator[InForce]:
    if task.file:
        found = LINE if task.project else "found in this folder or above"
        yield InForce("project", task.file, found)
    for what in ("dump", "build", "dialect", "baseline"):
        value = getattr(task, what)
        place = task.places.get(what)
        if value:
            yield InForce(what, value, str(place) if place else LINE)
        elif what == "dialect":
            yield InForce(what, "the one whose header the dump has", USUAL)
        elif task.file:
            yield InForce(what, "none", NOBODY)
    for name, (value, whence) in options.items():
        yield InForce(name, value, whence)
    yield from _rules(rules, task.terms.and_then(_of_sheet(task)))


def _of_sheet(task: Task) -> Terms:
    """What the build sheet says about the rules; nothing if it cannot be read, which an audit will say."""
    from cfgaudit.cli.sources import read_sheet

    try:
        return read_sheet(task.build).terms
    except Refusal:
        return Terms()


def _rules(folders: tuple[str, ...], terms: Terms) -> Iterator[InForce]:
    from cfgaudit.audit.book import shipped_rules

    yield InForce("rules", f"the {len(shipped_rules())} in the box", USUAL)
    yield from (InForce("rules", f"those in {folder}", LINE) for folder in folders)
    yield from (InForce("rules", f"those in {one.path}", str(one.place)) for one in terms.folders)
    for change in terms.levels:
        yield InForce("level", f"{change.rule} {change.level}: {change.reason}", str(change.place))
    for entry in terms.accepted:
        until = "" if isinstance(entry.until, ForGood) else f", until {entry.until}"
        at = f", at {entry.at}" if entry.at else ""
        yield InForce("accepted", f"{entry.rule}{at}{until}: {entry.reason}", str(entry.place))
