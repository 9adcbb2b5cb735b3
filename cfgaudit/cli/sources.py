"""Dumps by the name a user gives: a file, ``-`` for standard input, or ``REV:path`` from git."""

from __future__ import annotations

import os

import cfgaudit
from cfgaudit.dialect.reading import Reading


def read(name: str, dialect: str) -> Reading:
    """Read a dump from wherever its name points."""
    if name != "-" and _is_revision(name):
        from cfgaudit.baseline.git import show

        return cfgaudit.read_dump(name, dialect, show(name))
    return cfgaudit.read_dump(name, dialect)


def _is_revision(name: str) -> bool:
    """Whether a name means ``REV:path``: there is no such file, and it has a colon."""
    revision, colon, path = name.partition(":")
    drive = len(revision) == 1 and path[:1] in ("\\", "/")
    return bool(colon and revision and path) and not drive and not os.path.exists(name)
