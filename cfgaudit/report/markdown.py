r"""Text from files in Markdown: it says what it says, and does nothing.

CommonMark takes a backslash before any ASCII punctuation for that character alone. What begins a
link by itself where Markdown is extended (``www.``, ``://``, ``@name``, ``#12``) is broken the same way.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cfgaudit.report.safe import safe

_ACTIVE = re.compile(r"[\\`*_\[\]<>&~|#@$]|(?<=www)\.|:(?=//)", re.IGNORECASE)
_TICKS = re.compile("`+")


def plain(text: str) -> str:
    """A text within a line, made safe, with all that Markdown would act on escaped."""
    return _ACTIVE.sub(lambda found: "\\" + found[0], safe(text))


def fenced(lines: Sequence[str]) -> Iterator[str]:
    """Lines as code, each whole and safe, in a fence that none of them can close."""
    shown = [safe(line) for line in lines]
    longest = max((len(run) for line in shown for run in _TICKS.findall(line)), default=0)
    fence = "`" * max(3, longest + 1)
    yield f"{fence}text"
    yield from shown
    yield fence
