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
        for own in () if dialect else dict.fromkeys(craft.dialect for craft in project_craft()):
            if own:
                reading = cfgaudit.read_dump(name, own, data)
                if reading.recognition.matched:
                    return reading
        raise


def project_craft(project: str = "") -> tuple[Craft, ...]:
    """The craft of the project file, if there is one that can be read."""
    from cfgaudit.model.project import found_above, read_project

    file = project or found_above(os.curdir)
    try:
        return read_project(file).craft if file else ()
    except Refusal:
        if project:
            raise
        return ()


def dialect_of_file(path: str) -> str:
    """The dialect that the project file names for the craft whose baseline this is; "" if it names none."""
    where = os.path.realpath(path) if path else ""
    for craft in project_craft() if path else ():
        if craft.baseline and os.path.realpath(craft.baseline) == where:
            return craft.dialect
    return ""


def literal(name: str) -> str:
    """A file's name as nothing but a file's name: ``-`` is no stream here, and ``-x`` no option."""
    return name if os.path.isabs(name) else os.path.join(os.curdir, name)
