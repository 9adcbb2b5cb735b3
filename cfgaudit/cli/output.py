"""Where reports go: standard output, coloured only for people."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable

from cfgaudit.report.style import COLOUR, PLAIN, Style


def style() -> Style:
    """Colour on a terminal, unless NO_COLOR is set (no-color.org) or the terminal is a dumb one."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not sys.stdout.isatty()
    return PLAIN if plain else COLOUR


def show(lines: Iterable[str]) -> None:
    """Print lines."""
    for line in lines:
        print(line)
