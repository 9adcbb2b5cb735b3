"""What a report needs beside findings and changes: plain data, filled in by the caller."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Protocol

from msgspec import Struct

from cfgaudit.audit.finding import Level
from cfgaudit.compare.change import Change

Extent = Literal["full", "changed", "unknown"]


class DumpHead(Struct, frozen=True):
    """One dump as it was read.

    ``firmware``, ``version``, ``board`` and ``dialect`` are "" where nobody tells. ``settings``
    counts all statements that set something, ``not_understood`` those of them that the dialect
    does not know. ``notes`` are whole sentences about the reading itself (an encoding that was
    guessed, a terminal capture that was cleaned). ``keep_with`` is what to type so that a change
    survives a restart, "" if the dialect does not say.
    """

    file: str
    firmware: str
    version: str
    board: str
    extent: Extent
    dialect: str
    settings: int
    not_understood: int
    notes: tuple[str, ...] = ()
    keep_with: str = ""


class BuildHead(Struct, frozen=True):
    """A build sheet as it was read; ``craft`` is "" if the sheet does not name it."""

    file: str
    craft: str
    devices: int
    motors: int
    notes: tuple[str, ...] = ()


class AuditPaper(Struct, frozen=True):
    """What a report of an audit needs beside the audit. ``tool_version`` is the program's own."""

    tool_version: str
    dump: DumpHead
    build: BuildHead


class BuildPaper(Struct, frozen=True):
    """What a report of a build sheet alone needs beside the audit."""

    tool_version: str
    build: BuildHead


class DiffPaper(Struct, frozen=True):
    """What a report of a comparison needs beside the changes."""

    tool_version: str
    before: DumpHead
    after: DumpHead


class Comparison(Protocol):
    """What a report needs of a comparison."""

    @property
    def changes(self) -> Sequence[Change]: ...


class ShownRule(Protocol):
    """What a report needs of a rule."""

    @property
    def id(self) -> str: ...
    @property
    def level(self) -> Level: ...
    @property
    def title(self) -> str: ...
    @property
    def needed(self) -> Sequence[str]: ...
    @property
    def follows(self) -> Sequence[str]: ...
    @property
    def why(self) -> str: ...
    @property
    def basis(self) -> str: ...
    @property
    def hazard(self) -> str: ...
    @property
    def never_accept(self) -> bool: ...
