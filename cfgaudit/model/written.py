"""Plain data as YAML in one line, as a person would write it: it reads back as the same data."""

from __future__ import annotations

import re

from cfgaudit.model.value import Json

_SIGNS = r"[A-Za-z0-9_./+<>=×-]"
# Words with single blanks between them; no sign that starts something else in YAML, no colon, no #.
_PLAIN = re.compile(rf"[A-Za-z0-9_]{_SIGNS}*(?: {_SIGNS}+)*")
# What the core schema of YAML 1.2 (chapter 10.3) reads as nothing, a switch or a number.
_TAKEN = re.compile(
    r"null|true|false|[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:e[-+]?[0-9]+)?|0o[0-7]+|0x[0-9a-f]+",
    re.IGNORECASE,
)


def written(value: Json) -> str:
    """A value in one line of YAML: ``{tx: PA0, rx: PA1}``, ``[3, 6]``, ``"a: b"``."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key(name)}: {written(inner)}" for name, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    if isinstance(value, str):
        return value if _PLAIN.fullmatch(value) and not _TAKEN.fullmatch(value) else quoted(value)
    if value is None:
        return "null"
    return str(value).lower() if isinstance(value, bool) else repr(value)


def key(name: str) -> str:
    """A key of a mapping, which is text: a whole number stands without quotes."""
    return name if re.fullmatch("0|[1-9][0-9]{0,8}", name) else written(name)


def quoted(text: str) -> str:
    """A text in double quotes, whatever it holds."""
    return '"' + "".join(map(_sign, text)) + '"'


def _sign(sign: str) -> str:
    if sign in '"\\':
        return f"\\{sign}"
    if sign.isprintable():
        return sign
    number = ord(sign)
    if number < 256:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < 65536 else f"\\U{number:08x}"
