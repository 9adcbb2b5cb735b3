"""Colour, and the one place where a line of a report becomes text.

A line is built from spans: a role and the raw text, as it came from a dump, a sheet or a rule.
Only ``painter`` turns spans into text, and it makes every span safe first, so no report can
forget to.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from cfgaudit.report.safe import safe

Paint = Callable[[str], str]
Role = Literal["plain", "error", "warning", "note", "quiet", "strong"]
Span = tuple[Role, str]
Line = tuple[Span, ...]


def _as_it_is(text: str) -> str:
    return text


class Style(Struct, frozen=True):
    """How the roles of a report look: each takes safe text and gives back what to print."""

    error: Paint = _as_it_is
    warning: Paint = _as_it_is
    note: Paint = _as_it_is
    quiet: Paint = _as_it_is
    strong: Paint = _as_it_is


def _rendition(codes: str) -> Paint:
    return lambda text: f"\x1b[{codes}m{text}\x1b[0m"


PLAIN = Style()
# Select Graphic Rendition, ECMA-48 section 8.3.117; all sixteen-colour terminals know these.
COLOUR = Style(
    error=_rendition("1;31"),
    warning=_rendition("1;33"),
    note=_rendition("1;36"),
    quiet=_rendition("2"),
    strong=_rendition("1"),
)


def painter(style: Style) -> Callable[[Line], str]:
    """What turns a line into the text to print, in this style, without a line end."""
    paints: dict[Role, Paint] = {
        "plain": _as_it_is,
        "error": style.error,
        "warning": style.warning,
        "note": style.note,
        "quiet": style.quiet,
        "strong": style.strong,
    }
    return lambda line: "".join(paints[role](safe(text)) for role, text in line if text)
