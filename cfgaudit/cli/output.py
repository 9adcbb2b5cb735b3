"""Where words go: reports to standard output, coloured only for people; the rest to standard error."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable

from cfgaudit.model.refusal import Refusal
from cfgaudit.report.safe import safe
from cfgaudit.report.style import COLOUR, PLAIN, Style


def style() -> Style:
    """Colour on a terminal, unless NO_COLOR is set (no-color.org) or the terminal is a dumb one."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return COLOUR if not plain and sys.stdout and sys.stdout.isatty() else PLAIN


def show(lines: Iterable[str]) -> None:
    """Print the lines of a report. Raises Refusal if they cannot be written.

    A reader who has seen enough (``| head -1``) changes nothing about the exit code.
    """
    if sys.stdout is None:  # closed by the shell: >&-
        return
    try:
        for line in lines:
            print(line)
        sys.stdout.flush()
    except OSError as error:
        # what is left in the buffer goes nowhere, or the interpreter would complain at its end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            reason = error.strerror or "the system does not say why"
            raise Refusal(f"the report cannot be written ({reason})", "write it elsewhere") from None


def say(text: str) -> None:
    """Print one line beside the report; where nobody takes it, the exit code has to do."""
    if sys.stderr is None:
        return
    try:
        print(safe(" ".join(text.split())), file=sys.stderr, flush=True)
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stderr.fileno())
