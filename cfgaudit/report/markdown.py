r"""Text from files in Markdown: it says what it says, and does nothing.

CommonMark takes a backslash before any ASCII punctuation for that character alone. What begins a
link by itself where Markdown is extended (``www.``, ``://``, ``@name``, ``#12``) is broken the same way,
and so is what would begin a list, a heading or a rule at the start of a line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cfgaudit.report.safe import safe

_ACTIVE = re.compile(r"[\\`*_\[\]<>&~|#@$]|(?<=www)\.|:(?=//)", re.IGNORECASE)
_OPENING = re.compile(r"(?<=^)[-+=]|^[0-9]{1,9}(?=[.)])")
_TICKS = re.compile("`+")


def plain(text: str) -> str:
    """A text within a line, made safe, with all that Markdown would act on escaped.

    Blanks around it go: four of them would begin code, two at the end break the line.
    """
    escaped = _ACTIVE.sub(lambda found: "\\" + found[0], safe(text).strip(" "))
    opening = _OPENING.match(escaped)
    if not opening:
        return escaped
    at = opening.end() if opening[0].isdigit() else 0
    return f"{escaped[:at]}\\{escaped[at:]}"


def fenced(lines: Sequence[str]) -> Iterator[str]:
    """Lines as code, each whole and safe, in a fence that none of them can close."""
    shown = [safe(line) for line in lines]
    longest = max((len(run) for line in shown for run in _TICKS.findall(line)), default=0)
    fence = "`" * max(3, longest + 1)
    yield f"{fence}text"
    yield from shown
    yield fence
