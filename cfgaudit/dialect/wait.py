"""What a changed setting waits for before it takes effect."""

from __future__ import annotations

from collections.abc import Iterable

# The longest wait first: it covers the others. "" takes effect at once.
WAITS = ("power cycle", "restart", "")


def longest(waits: Iterable[str]) -> str:
    """The one that covers the others; a word that is none of ours, of which nobody knows, before them."""
    return min({*waits}, key=lambda wait: WAITS.index(wait) if wait in WAITS else -1, default="")
