"""Puts hostile characters into every text of a tree of plain data."""

from __future__ import annotations

import dataclasses
import enum
from typing import Any

HOSTILE = "\x1b[31m\x1b]0;x\x07\x9b1m\r\n\t\0\x7f\x85\xa0\u200b\u202e\u2066\u2028\ufeff"
_WORDS = {"full", "changed", "unknown"}  # the extents: chosen by the program, never read from a file


def hostile(data: Any) -> Any:
    """The same data with hostile characters before, inside and after each text."""
    if isinstance(data, enum.Enum) or data in _WORDS:
        return data
    if isinstance(data, str):
        return f"{HOSTILE}{data[:1]}{HOSTILE}{data[1:]}{HOSTILE}" if data else HOSTILE
    if isinstance(data, tuple):
        return tuple(map(hostile, data))
    if dataclasses.is_dataclass(data) and not isinstance(data, type):
        fields = [field.name for field in dataclasses.fields(data)]
        return dataclasses.replace(data, **{name: hostile(getattr(data, name)) for name in fields})
    return data
