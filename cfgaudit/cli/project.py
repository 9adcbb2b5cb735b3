"""What is to be audited: a dump and a sheet that the command line names, or the craft of a project file."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from msgspec import Struct

from cfgaudit.model.refusal import Refusal
from cfgaudit.model.terms import Terms

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cfgaudit.model.place import Place
    from cfgaudit.model.project import Craft, Project


class Named(Struct, frozen=True):
    """What the command line names; "" is what it leaves out."""

    dump: str
    build: str
    dialect: str
    craft: str
    project: str

    @property
    def all_craft(self) -> bool:
        """Whether nothing is named: then each craft of the project is meant."""
        return not (self.dump or self.build or self.craft)


class Task(Struct, frozen=True):
    """One dump against one build sheet. ``craft`` and ``project`` are "" where no project file told of it."""

    dump: str
    build: str
    dialect: str
    terms: Terms = Terms()
    craft: str = ""
    project: str = ""
    baseline: str = ""
    file: str = ""  # the project file that told of it, named or found
    places: Mapping[str, Place] = {}  # where that file names what the command line does not


def task_of(named: Named) -> Task:
    """The one craft that is meant. Raises Refusal, also if nothing is named.

    A sheet that is named stands alone: no project file has a say then.
    """
    if named.all_craft:
        raise Refusal("nothing says which craft", "name a dump and its sheet (--build), or a craft")
    if named.build:
        if named.craft:
            what = "--craft and --build name a build sheet each"
            raise Refusal(what, "leave one of them out")
        if not named.dump:
            raise Refusal("no dump is named", "name its file: cfgaudit audit DUMP --build SHEET")
        return Task(named.dump, named.build, named.dialect)
    project = _project(named)
    if named.craft:
        return _task(project, project.named(named.craft), named, named.dump)
    if craft := project.find(named.dump):
        return _task(project, craft, named, "")
    if named.dump == "-" or os.path.exists(named.dump) or ":" in named.dump:
        names = ", ".join(one.name for one in project.craft)
        what = f"nothing says which aircraft {named.dump} is of"
        raise Refusal(what, f"add --craft with one of {names}, or --build with its sheet")
    return _task(project, project.named(named.dump), named, "")


def craft_named(name: str, project: str) -> Craft:
    """A craft of the project file. Raises Refusal."""
    return _project(Named("", "", "", name, project)).named(name)


def terms_in_force(craft: str, project: str) -> Terms:
    """What a project file says about the rules: of a craft, or of all; nothing where there is no file."""
    from cfgaudit.model.project import found_above, read_project

    if craft:
        return craft_named(craft, project).terms
    file = project or found_above(os.curdir)
    return read_project(file).terms if file else Terms()


def each_task(named: Named, *, recorded: bool = False) -> tuple[tuple[str, Task | Refusal], ...]:
    """What is named; or each craft of the project by its name, or why there is no task for it.

    ``recorded``: only craft that have a baseline.
    """
    if not named.all_craft:
        task = task_of(named)
        return ((task.craft, task),)
    project = _project(named)
    return tuple(
        (one.name, _task_or_why(project, one, named)) for one in project.craft if one.baseline or not recorded
    )


def _task_or_why(project: Project, craft: Craft, named: Named) -> Task | Refusal:
    try:
        return _task(project, craft, named, "")
    except Refusal as refusal:
        return refusal


def _project(named: Named) -> Project:
    from cfgaudit.model.project import NAME, found_above, read_project

    file = named.project or found_above(os.curdir)
    if file:
        return read_project(file)
    mend = f"name the sheet with --build SHEET, or list your craft in {NAME}"
    raise Refusal(f"no build sheet is named, and there is no {NAME} in this folder or above it", mend)


def _task(project: Project, craft: Craft, named: Named, dump: str) -> Task:
    if not (dump or craft.dump):
        mend = f"name one: cfgaudit audit DUMP --craft {craft.name}, or write dump below its name"
        raise Refusal(f"no dump of {craft.name} is named", mend, craft.place)
    dialect = named.dialect or craft.dialect
    told = {"dump": dump, "dialect": named.dialect}
    places = {key: place for key, place in craft.places.items() if not told.get(key)}
    return Task(
        dump or craft.dump,
        craft.build,
        dialect,
        craft.terms,
        craft.name,
        named.project,
        craft.baseline,
        project.file,
        places,
    )
