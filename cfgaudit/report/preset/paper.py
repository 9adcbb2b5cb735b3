"""What a report of a preset needs beside what came of it."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.report.paper import BuildHead, DumpHead


class PresetHead(Struct, frozen=True):
    """A preset as it was read: ``lines`` counts those that are typed, remarks apart."""

    file: str
    lines: int
    notes: tuple[str, ...] = ()


class PresetPaper(Struct, frozen=True):
    """What a report of a preset needs beside what came of it. ``after`` is () for a dry run."""

    tool_version: str
    build: BuildHead
    preset: PresetHead
    before: DumpHead
    after: tuple[DumpHead, ...] = ()
