"""Words and widths that the reports for people share."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator

from cfgaudit.report.paper import DumpHead
from cfgaudit.report.safe import safe

WIDTH = 100  # columns that running text keeps to
_FOLD = re.compile("[ \n]+")
_EXTENTS = {
    "full": "full dump",
    "changed": "changed settings only",
    "unknown": "not known whether full or changed settings only",
}


def firmware_words(head: DumpHead) -> str:
    """``plover 4.1.2 on Reed-405``."""
    name = " ".join(filter(None, (head.firmware, head.version))) or "firmware not named"
    return f"{name} on {head.board}" if head.board else f"{name}, board not named"


def reading_words(head: DumpHead) -> str:
    """How much of a dump was read, and how much of it was understood."""
    settings = counted(head.settings, "setting")
    if not head.dialect:
        return f"read without a dialect, {settings}"
    understood = f"{head.not_understood} not understood" if head.not_understood else "all understood"
    return f"{_EXTENTS[head.extent]}, read as {head.dialect}, {settings}, {understood}"


def counted(number: int, noun: str) -> str:
    """``1 device``, ``4 devices``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def one_line(text: str) -> str:
    """A text without the folds of YAML; any other blank is to be seen, written out."""
    return _FOLD.sub(" ", text.strip(" \n"))


def wrapped(text: str, indent: int) -> Iterator[str]:
    """The lines of a text that stands at an indent, made safe; at least one."""
    # Safe first: the wrapping would take hostile blanks for ordinary ones.
    width = max(WIDTH - indent, WIDTH // 2)
    return iter(textwrap.wrap(safe(text), width, break_long_words=False, break_on_hyphens=False) or [""])


def packed(sentences: Iterable[str]) -> Iterator[str]:
    """Whole sentences a line, as many as fit: none is torn in two."""
    line = ""
    for sentence in sentences:
        if line and len(line) + 1 + len(sentence) > WIDTH:
            yield line
            line = sentence
        else:
            line = f"{line} {sentence}".strip()
    if line:
        yield line
