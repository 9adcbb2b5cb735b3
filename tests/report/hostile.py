"""Puts hostile characters into every text of a tree of plain data."""

from __future__ import annotations

import enum
from typing import Any

import msgspec

HOSTILE = "\x1b[31m\x1b]0;x\x07\x9b1m\r\n\t\0\x7f\x85\xa0\u200b\u202e\u2066\u2028\ufeff"
# Extents and levels: chosen by the program, or one of few that a schema allows.
_WORDS = {"full", "changed", "unknown", "off", "note", "warning", "error"}


def hostile(data: Any) -> Any:
    """The same data with hostile characters before, inside and after each text."""
    if isinstance(data, enum.Enum):
        return data
    if isinstance(data, str):
        if data in _WORDS:
            return data
        return f"{HOSTILE}{data[:1]}{HOSTILE}{data[1:]}{HOSTILE}" if data else HOSTILE
    if isinstance(data, tuple | list):
        return type(data)(map(hostile, data))
    if isinstance(data, msgspec.Struct):
        changed = {name: hostile(getattr(data, name)) for name in data.__struct_fields__}
        return msgspec.structs.replace(data, **changed)
    return data
