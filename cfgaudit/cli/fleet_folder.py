"""The craft below a folder: those of its project files, and folders with a build sheet and a dump.

Nothing is guessed: where it is not plain which file is meant, that is what the craft's row says.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

from msgspec import Struct

from cfgaudit.model.place import Place
from cfgaudit.model.project import NAME, Craft, read_project
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.terms import Terms

SHEET = ("build.yaml", "build.yml")  # the names that need no look inside
DUMP = "dump"  # the name, before its ending, that wins over others
LOOK = 256 * 1024  # bytes of a file, where anything may lie beside a sheet: logs, pictures
_YAML = (".yaml", ".yml")
_OF_A_SHEET = ("board", "devices", "motors")  # a YAML file that has one of these is a build sheet
_LISTED = 4


class Files(Struct, frozen=True):
    """The files of one craft by their names; "" is one that there is not."""

    dump: str
    sheet: str
    dialect: str = ""
    baseline: str = ""
    terms: Terms = Terms()


class Site(Struct, frozen=True):
    """A craft by its name in this fleet, and where its files are said or lie."""

    name: str
    source: Craft | Beside | Refusal

    def files(self) -> Files:
        """Its files. Raises Refusal where it is not plain which they are."""
        if isinstance(self.source, Refusal):
            raise self.source
        if isinstance(self.source, Beside):
            return self.source.files()
        craft = self.source
        if not craft.dump:
            raise Refusal(f"no dump of {craft.name} is named", "write dump below its name", craft.place)
        return Files(craft.dump, craft.build, craft.dialect, craft.baseline, craft.terms)


class Beside(Struct, frozen=True):
    """A folder with a build sheet, or several, and what else lies in it."""

    folder: str
    sheets: tuple[str, ...]
    others: tuple[str, ...]

    def files(self) -> Files:
        """The one sheet, the one dump, and a baseline if there is one. Raises Refusal."""
        if len(self.sheets) > 1:
            raise self._ambiguous("build sheets", self.sheets, f"call one of them {SHEET[0]}")
        known = {name: said for name in self.others if (said := _said(os.path.join(self.folder, name)))}
        baselines = [name for name, said in known.items() if said == "baseline"]
        if len(baselines) > 1:
            raise self._ambiguous("baselines", baselines, "keep one of them here")
        dumps = [name for name, said in known.items() if said == "dump"]
        called = [name for name in self.others if _stem(name) == DUMP]
        chosen = called or dumps
        if len(chosen) > 1:
            raise self._ambiguous("dumps", chosen, f"call one of them {DUMP}.txt")
        if not chosen:
            what = "there is a build sheet, and no dump beside it that a dialect knows"
            raise Refusal(what, f"put one there, or list the craft in {NAME}", Place(self.folder, 1, 1))
        return Files(
            os.path.join(self.folder, chosen[0]),
            os.path.join(self.folder, self.sheets[0]),
            baseline=os.path.join(self.folder, baselines[0]) if baselines else "",
        )

    def _ambiguous(self, what: str, names: Iterable[str], mend: str) -> Refusal:
        every = [*names]
        more = f" and {len(every) - _LISTED} more" if len(every) > _LISTED else ""
        listed = ", ".join(every[:_LISTED]) + more
        place = Place(self.folder, 1, 1)
        return Refusal(
            f"{len(every)} {what} lie here: {listed}", f"{mend}, or list the craft in {NAME}", place
        )


class Fleet(Struct, frozen=True):
    """The craft of a folder, in order; ``left_out`` are folders with a sheet that no project file names."""

    sites: tuple[Site, ...]
    left_out: tuple[str, ...]


def fleet_in(folder: str, only: Iterable[str] = ()) -> Fleet:
    """All craft below a folder, or those of these names. Raises Refusal if there are none."""
    if not os.path.isdir(folder):
        what = "this is a file" if os.path.exists(folder) else "there is no such folder"
        raise Refusal(what, "name the folder that your craft are in", Place(folder, 1, 1))
    found = [*_walk(folder)]
    sites = tuple(site for site in found if isinstance(site, Site))
    if not sites:
        mend = f"list them in {NAME}, or give each a folder with {SHEET[0]} and one dump"
        raise Refusal("there are no craft below this folder", mend, Place(folder, 1, 1))
    if wanted := [*only]:
        names = {site.name for site in sites}
        for name in wanted:
            if name not in names:
                raise _unknown(name, names, folder)
        return Fleet(tuple(site for site in sites if site.name in wanted), ())
    named = {os.path.abspath(site.source.build) for site in sites if isinstance(site.source, Craft)}
    left_out = (one for one in found if isinstance(one, Beside))
    return Fleet(
        sites,
        tuple(
            one.folder
            for one in left_out
            if not any(os.path.abspath(os.path.join(one.folder, sheet)) in named for sheet in one.sheets)
        ),
    )


def _unknown(name: str, names: Iterable[str], folder: str) -> Refusal:
    import difflib

    near = difflib.get_close_matches(name, names, 1, 0.5)
    mend = f"did you mean {near[0]}?" if near else "without --only all of them are listed"
    return Refusal(f"there is no craft {name} in this fleet", mend, Place(folder, 1, 1))


def _walk(top: str) -> Iterator[Site | Beside]:
    """The craft of project files, and folders with a sheet; below a project file these are for it to name."""
    told: set[str] = set()  # folders in or below one with a project file
    been: set[str] = set()
    closed: list[OSError] = []
    for here, below, files in os.walk(top, onerror=closed.append, followlinks=True):
        if (real := os.path.realpath(here)) in been:  # a link leads back
            below.clear()
            continue
        been.add(real)
        below[:] = sorted(name for name in below if not name.startswith("."))
        name = os.path.relpath(here, top).replace(os.sep, "/")
        if os.path.dirname(here) in told:
            told.add(here)
        if NAME in files:
            told.add(here)
            yield from _of_project(os.path.join(here, NAME), "" if name == "." else name)
        if beside := _beside(here, files):
            called = os.path.basename(os.path.abspath(here)) if name == "." else name
            yield beside if here in told else Site(called, beside)
    for error in closed:
        folder = str(error.filename)
        reason = error.strerror or "the system does not say why"
        refusal = Refusal(f"this folder cannot be read ({reason})", "allow it", Place(folder, 1, 1))
        yield Site(os.path.relpath(folder, top).replace(os.sep, "/"), refusal)


def _of_project(file: str, folder: str) -> Iterator[Site]:
    try:
        project = read_project(file)
    except Refusal as refusal:
        yield Site(folder or NAME, refusal)
        return
    for craft in project.craft:
        yield Site(f"{folder}/{craft.name}" if folder else craft.name, craft)


def _beside(folder: str, files: Iterable[str]) -> Beside | None:
    """What lies in a folder, if a build sheet does."""
    seen = sorted(name for name in files if not name.startswith(".") and name != NAME)
    yamls = [name for name in seen if name.endswith(_YAML)]
    called = [name for name in yamls if name in SHEET]
    sheets = called or [name for name in yamls if _is_sheet(os.path.join(folder, name))]
    others = tuple(
        name for name in seen if not name.endswith(_YAML) and os.path.isfile(os.path.join(folder, name))
    )
    return Beside(folder, tuple(sheets), others) if sheets else None


def _is_sheet(path: str) -> bool:
    """Whether a YAML file says what is soldered, faults or not."""
    from cfgaudit.model.placed import load

    try:
        data = load(path).data
    except Refusal:
        return False
    return isinstance(data, dict) and any(key in data for key in _OF_A_SHEET)


def _said(path: str) -> str:
    """What a file is by its first lines: "dump", "baseline", or "" if no dialect in the box knows it."""
    from cfgaudit.baseline.facts import NOBODY_SAID, read_facts
    from cfgaudit.cli.sources import Source

    try:
        with open(path, "rb") as file:
            source = Source(path, file.read(LOOK))
        if not source.is_known():
            return ""
    except (Refusal, OSError):
        return ""
    first = source.data.decode("utf-8", "replace").splitlines()
    return "dump" if read_facts(first) == NOBODY_SAID else "baseline"


def _stem(name: str) -> str:
    return os.path.splitext(name)[0].lower()
