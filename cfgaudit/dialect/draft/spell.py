"""Texts of a dump as YAML that reads back as the same text."""

from __future__ import annotations

import re

from cfgaudit.model.written import quoted

# What YAML reads as nothing, yes or no, or a number, stands in quotes.
_PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_./-]*")
_TAKEN = frozenset({"null", "true", "false", "yes", "no", "on", "off", "y", "n"})


def inline(text: str) -> str:
    """A text as a YAML scalar that stands in a line."""
    if _PLAIN.fullmatch(text) and text.lower() not in _TAKEN:
        return text
    return quoted(text)


def key_of(text: str) -> str:
    """A text as the key of a mapping."""
    return inline(text)


def remark(text: str) -> str:
    """A text as it may stand in a comment."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
