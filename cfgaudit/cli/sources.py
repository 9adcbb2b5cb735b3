"""Dumps by the name a user gives: a file, ``-`` for standard input, or ``REV:path`` from git."""

from __future__ import annotations

import cfgaudit
from cfgaudit.dialect.reading import Reading


def read(name: str, dialect: str) -> Reading:
    """Read a dump from wherever its name points."""
    from cfgaudit.baseline.git import is_revision, show

    if name != "-" and is_revision(name):
        return cfgaudit.read_dump(name, dialect, show(name))
    return cfgaudit.read_dump(name, dialect)
