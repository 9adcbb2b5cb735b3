"""The project file: which aircraft there are, which files belong to each, and what holds for all of them.

``project.schema.json`` beside this file says what may be written. What it says about rules has the
shape that the build sheet gives it; it is said of every craft at the top, and of one below its name.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct

from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, load, shown
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.schema import check
from cfgaudit.model.sheet import build_schema
from cfgaudit.model.terms import Terms, terms_of

NAME = "cfgaudit.yaml"
_NAMED = ("build", "dump", "dialect", "baseline")
_SHARED = ("rule", "reason", "acceptance", "rules", "level_change")  # definitions that the build sheet has


class Craft(Struct, frozen=True):
    """An aircraft and its files, by paths from where the user stands; "" is a file that is not named."""

    name: str
    build: str
    dump: str
    dialect: str
    baseline: str
    terms: Terms  # what the project says of all craft, then of this one
    place: Place
    places: Mapping[str, Place]  # where each of its files, and the dialect, is named


class Project(Struct, frozen=True):
    """A project file: its craft in the order in which they are written."""

    file: str
    craft: tuple[Craft, ...]
    terms: Terms = Terms()  # what it says of all craft

    def find(self, name: str) -> Craft | None:
        """The craft of this name, if there is one."""
        return next((one for one in self.craft if one.name == name), None)

    def named(self, name: str) -> Craft:
        """The craft of this name. Raises Refusal if there is none."""
        if found := self.find(name):
            return found
        names = ", ".join(one.name for one in self.craft)
        what = f"there is no craft {shown(name)} in this project"
        raise Refusal(what, f"name one of {names}, or add it below craft", Place(self.file, 1, 1))


def found_above(folder: str) -> str:
    """The project file of a folder, as a path from there: in it, or in the nearest one above; or ""."""
    here = os.path.abspath(folder)
    while True:
        file = os.path.join(here, NAME)
        if os.path.isfile(file):
            return os.path.relpath(file, folder)
        here, below = os.path.dirname(here), here
        if here == below:
            return ""


def read_project(path: str) -> Project:
    """The project in a file. Raises Refusal if it is none."""
    placed = load(path)
    check(placed, project_schema(), "project file")
    return Project(path, tuple(_craft(placed)), terms_of(placed))


def project_schema() -> dict[str, Any]:
    """The JSON Schema of a project file, with what it shares with the build sheet."""
    schema: dict[str, Any] = json.loads(FilePath(__file__).with_name("project.schema.json").read_bytes())
    shared = build_schema()["$defs"]
    return {**schema, "$defs": {**schema["$defs"], **{name: shared[name] for name in _SHARED}}}


def _craft(placed: Placed) -> Iterator[Craft]:
    beside = os.path.dirname(placed.file)
    data: Any = placed.data
    for name, files in data["craft"].items():
        dialect = files.get("dialect", "")
        yield Craft(
            name=name,
            build=os.path.join(beside, files["build"]),
            dump=os.path.join(beside, files["dump"]) if "dump" in files else "",
            baseline=os.path.join(beside, files["baseline"]) if "baseline" in files else "",
            dialect=os.path.join(beside, dialect) if dialect.endswith((".yaml", ".yml")) else dialect,
            terms=terms_of(placed).and_then(terms_of(placed, ("craft", name))),
            place=placed.keys[("craft", name)],
            places={key: placed.place(("craft", name, key)) for key in _NAMED if key in files},
        )
