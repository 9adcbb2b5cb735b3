"""Texts of baselines, read by whatever dialect they are in: one of the box, or one of the project's own."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import cfgaudit
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.model.project import Craft


def read_recorded(name: str, data: bytes, dialect: str = "") -> Reading:
    """Read a text by the dialect given, by the one that its header names, or by one of the project's.

    Raises Refusal if none of them fits.
    """
    try:
        return cfgaudit.read_dump(name, dialect, data)
    except Refusal:
        for own in () if dialect else dict.fromkeys(craft.dialect for craft in _craft_above("")):
            if own:
                reading = cfgaudit.read_dump(name, own, data)
                if reading.recognition.matched:
                    return reading
        raise


def project_craft(project: str = "") -> tuple[Craft, ...]:
    """The craft of the project file that is named, or of the one here or above; none where there is none.

    Raises Refusal if it cannot be read.
    """
    from cfgaudit.model.project import found_above, read_project

    file = project or found_above(os.curdir)
    return read_project(file).craft if file else ()


def _craft_above(folder: str) -> tuple[Craft, ...]:
    """The craft of the project file in a folder, "" for this one, or above it; none if it cannot be read."""
    from cfgaudit.model.project import found_above, read_project

    file = found_above(folder)
    try:
        return read_project(os.path.join(folder, file)).craft if file else ()
    except Refusal:
        return ()


def dialect_of_file(path: str) -> str:
    """The dialect that the project file above a file names for its craft; "" if it names none."""
    where = os.path.realpath(path) if path else ""
    for craft in _craft_above(os.path.dirname(path)) if path else ():
        if where in (os.path.realpath(file) for file in (craft.baseline, craft.dump) if file):
            return craft.dialect
    return ""


def is_dump(data: bytes) -> bool:
    """Whether a text has the header of a dialect in the box, or of one that the project file names."""
    from cfgaudit.cli.sources import Source
    from cfgaudit.dialect.recognise import as_dialect
    from cfgaudit.dialect.shelf import named_dialect
    from cfgaudit.dump.text import decode

    try:
        if Source("", data).is_known():
            return True
        text = decode(data, "")
    except Refusal:
        return False
    own = (one.dialect for one in _craft_above("") if one.dialect.endswith((".yaml", ".yml")))
    return any(as_dialect(text, named_dialect(name)).matched for name in dict.fromkeys(own))


def literal(name: str) -> str:
    """A file's name as nothing but a file's name: ``-`` is no stream here, and ``-x`` no option."""
    return name if os.path.isabs(name) else os.path.join(os.curdir, name)
