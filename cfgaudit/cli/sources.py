"""Dumps and sheets by the name a user gives: a file, ``REV:path`` from git, or ``-`` for a dump."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from msgspec import Struct

import cfgaudit
from cfgaudit.dialect.reading import Reading
from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.model.sheet import Build


class Source(Struct, frozen=True):
    """A dump's bytes and the name that the user gave."""

    name: str
    data: bytes

    def read(self, dialect: str, build: Build | None = None) -> Reading:
        """The dump as read by a dialect, on the board of a build sheet. Raises Refusal."""
        if not self.data.strip():
            raise Refusal("this file is empty", "dump everything again into it", Place(self.name, 1, 1))
        return cfgaudit.read_dump(self.name, dialect, self.data, build)

    def text(self) -> Text:
        """The dump's text, without what a terminal left in it. Raises Refusal."""
        from cfgaudit.dump.capture import cleaned
        from cfgaudit.dump.family import require_text
        from cfgaudit.dump.text import decode

        return cleaned(require_text(decode(self.data, self.name)))

    def is_known(self) -> bool:
        """Whether the text carries the header of a dialect in the box. Raises Refusal."""
        from cfgaudit.dump.capture import cleaned
        from cfgaudit.dump.text import decode

        raw = decode(self.data, self.name)
        # cleaning costs more than looking: most dumps show their header as they are
        return _has_header(raw) or _has_header(cleaned(raw))


def fetch(name: str) -> Source:
    """A dump from wherever its name points."""
    if name != "-" and _is_revision(name):
        from cfgaudit.baseline.git import show

        return Source(name, show(name))
    from cfgaudit.dump.file import read_bytes

    return Source(name, read_bytes(name))


def read_sheet(name: str) -> Build:
    """Read a build sheet from a file or from git. Raises Refusal."""
    try:
        return _sheet(name)
    except Refusal as refusal:
        if _is_dump(name):
            what = "this is a dump, and not a build sheet"
            raise Refusal(what, "exchange the two names", Place(name, 1, 1)) from refusal
        raise


def _sheet(name: str) -> Build:
    if not _is_revision(name):
        return cfgaudit.read_build(name)
    from cfgaudit.baseline.git import show
    from cfgaudit.model.placed import read_yaml
    from cfgaudit.model.sheet import build_from

    return build_from(read_yaml(show(name), name))


def _is_dump(name: str) -> bool:
    try:
        return fetch(name).is_known()
    except Refusal:
        return False


def read(name: str, dialect: str, build: Build | None = None) -> Reading:
    """Read a dump from wherever its name points."""
    return fetch(name).read(dialect, build)


def _has_header(text: Text) -> bool:
    from cfgaudit.dialect.recognise import as_dialect
    from cfgaudit.dialect.shelf import shipped_fronts

    return any(as_dialect(text, one).matched for one in shipped_fronts())


def is_file(name: str) -> bool:
    """Whether a dump's name is that of a file, which other programs can open as well."""
    return name != "-" and not _is_revision(name)


def _is_revision(name: str) -> bool:
    """Whether a name means ``REV:path``: there is no such file, and it has a colon."""
    revision, colon, path = name.partition(":")
    drive = len(revision) == 1 and path[:1] in ("\\", "/")
    return bool(colon and revision and path) and not drive and not os.path.exists(name)
