"""What a report of a check against a baseline needs beside the drift."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.report.paper import BuildHead, DumpHead


class DriftPaper(Struct, frozen=True):
    """What a report of a check against a baseline needs beside the drift."""

    tool_version: str
    build: BuildHead
    fresh: DumpHead
    recorded: DumpHead
