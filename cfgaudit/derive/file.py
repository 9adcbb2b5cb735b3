"""What the reading of a dump left open: section ``file`` of what rules see as ``derived``.

::

    unknown             lines that the dialect does not know: count, lines (their numbers in
                        words), first (the text of the first one)
"""

from __future__ import annotations

from cfgaudit.derive.missing import Missing, Section
from cfgaudit.derive.tree import Tree, entries, whole, word

_NAMED = 12  # more line numbers than this in one sentence help nobody


def file(reading: Tree) -> Section:
    """The section; Missing where nothing is known of how the dump was read."""
    if "unknown" not in reading:
        return {"unknown": Missing(("reading.unknown",))}
    unknown = [line for _, line in entries(reading, "unknown")]
    numbers = [str(whole(line, "line") or "?") for line in unknown]
    more = len(numbers) - _NAMED
    return {
        "unknown": {
            "count": len(unknown),
            "lines": ", ".join(numbers[:_NAMED]) + (f" and {more} more" if more > 0 else ""),
            "first": word(unknown[0], "text") if unknown else "",
        }
    }
