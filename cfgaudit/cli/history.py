"""cfgaudit history: when did a setting change, to what, in which commit?"""

from __future__ import annotations

import os
from functools import partial
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

import cfgaudit
from cfgaudit.cli.main import FOUND
from cfgaudit.cli.options import craft_option, dialect_option, project_option
from cfgaudit.cli.recorded import dialect_of_file, project_craft, read_recorded
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable

    from cfgaudit.baseline.history import Event
    from cfgaudit.baseline.log import Log
    from cfgaudit.dialect.reading import Reading


@click.command("history")
@click.argument("setting", default="", metavar="[PATH_OR_NAME]")
@click.option("--file", default="", metavar="BASELINE", help="The baseline; else the project's.")
@craft_option("The craft of the project file that is meant.")
@project_option()
@dialect_option()
@click.option(
    "--since-good",
    default="",
    metavar="REV",
    help="All that changed since a commit, and where; the exit code is 1 if anything did.",
)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
def command(
    setting: str, file: str, craft: str, project: str, dialect: str, since_good: str, form: str
) -> int:
    """Say when a setting of a baseline changed, to what, and in which commit of git, newest first.

    PATH_OR_NAME: a path of the vocabulary (ports.UART4.functions) or its beginning (ports.UART4), or the
    firmware's own name, of this version or another. Renames of the file are followed.

    \b
    Example: cfgaudit history battery.cell_warn_v --file baselines/otter.txt
    """
    from cfgaudit.baseline.log import log_of
    from cfgaudit.cli.output import show, style

    if not (setting or since_good):
        raise Refusal(
            "no setting is named", "name one: cfgaudit history osd.columns, or say --since-good REV"
        )
    named = _file(file, craft, project)
    # git keeps of a link only where it leads to
    path = os.path.relpath(os.path.realpath(named)) if os.path.islink(named) else named
    log = log_of(path, since_good)
    read = partial(_read, path, dialect or dialect_of_file(path))
    events = _since(log, path, since_good, setting, read) if since_good else _all(log, path, setting, read)
    if form == "json":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.baseline.history_data import history_json

        made = history_json(cfgaudit.__version__, setting, path, since_good, log, events)
        show([json_text(made).rstrip("\n")])
    else:
        from cfgaudit.report.baseline.history import history_text

        show(history_text(setting, path, since_good, log, events, style()))
    return FOUND if since_good and events else 0


def _read(path: str, dialect: str, data: bytes) -> Reading:
    return read_recorded(path, data, dialect)


def _file(file: str, craft: str, project: str) -> str:
    """The baseline that is meant. Raises Refusal."""
    if file:
        return file
    known = project_craft(project)
    named = [one for one in known if one.name == craft] if craft else [one for one in known if one.baseline]
    if craft and not named:
        names = ", ".join(one.name for one in known) or "none"
        raise Refusal(f"no project file here has a craft {craft!r}", f"name one of {names}; or say --file")
    if len(named) == 1 and named[0].baseline:
        return named[0].baseline
    if craft:
        raise Refusal(f"the project file names no baseline of {craft}", "name the file with --file")
    names = ", ".join(one.name for one in named)
    mend = f"say --craft with one of {names}" if names else "name it with --file"
    raise Refusal("nothing says which baseline is meant", mend)


def _all(log: Log, path: str, setting: str, read: Callable[[bytes], Reading]) -> list[Event]:
    from cfgaudit.baseline.asked import Asked, nearest
    from cfgaudit.baseline.history import Desk, history

    log, contents = _with_present(log, path)
    desk = Desk(Asked(setting), contents, read)
    events = [*history(log, desk)]
    if not desk.known:
        readable = _readable(log, contents, read)
        close = nearest(readable[0], setting) if readable else ""
        mend = f"perhaps {close} is meant" if close else "name a path such as osd.columns, or a setting"
        what = f"no version of this file knows {setting!r}" if readable else "no version of it can be read"
        raise Refusal(what, mend, Place(path, 1, 1))
    return events


def _readable(log: Log, contents: dict[str, bytes], read: Callable[[bytes], Reading]) -> list[Reading]:
    """The newest version that can be read, if there is one."""
    for version in log.versions:
        try:
            return [read(contents[version.after])]
        except (Refusal, KeyError):
            continue
    return []


def _since(log: Log, path: str, revision: str, setting: str, read: Callable[[bytes], Reading]) -> list[Event]:
    from cfgaudit.baseline.asked import Asked
    from cfgaudit.baseline.history import Desk, asked_of, between, last_changes
    from cfgaudit.baseline.log import ABSENT, name_from_top, object_at

    name = log.versions[-1].name if log.versions else name_from_top(path)
    good = object_at(revision, name, path)
    if good == ABSENT:
        raise Refusal(f"{revision} does not have this file", "name a commit that has it", Place(path, 1, 1))
    last = object_at("HEAD", name_from_top(path), path)
    log, contents = _with_present(log, path, good, last)
    newest = log.versions[0].after if log.versions else last
    if newest == ABSENT:
        raise Refusal("the file is deleted", "name one that is there", Place(path, 1, 1))
    everything = Asked(setting)
    was, now = (everything.sees(read(contents.get(one, b""))) for one in (good, newest))
    changed = between(was, now)
    desk = Desk(Asked(setting) if setting else asked_of(changed), contents, read)
    return [*last_changes(log, desk, changed)]


_PRESENT = "present"


def _with_present(log: Log, path: str, *more: str) -> tuple[Log, dict[str, bytes]]:
    """The log with the file as it is now, if that is not committed, and all contents."""
    from cfgaudit.baseline.log import NOT_COMMITTED, Version, objects

    ids = (one for version in log.versions for one in (*version.before, version.after))
    contents = objects((*ids, *more), path)
    newest = log.versions[0].after if log.versions else more[-1] if more else ""
    try:
        with open(path, "rb") as file:
            here = file.read()
    except (OSError, ValueError):
        return log, contents
    if contents.get(newest) == here:
        return log, contents
    contents[_PRESENT] = here
    mine = Version(NOT_COMMITTED, (newest,), _PRESENT, os.path.basename(path))
    return replace(log, versions=(mine, *log.versions)), contents
