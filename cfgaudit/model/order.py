"""The order in which people count: motor 2 before motor 10."""

from __future__ import annotations

import re
from functools import lru_cache

from cfgaudit.model.path import Path

_DIGITS = re.compile(r"([0-9]+)")

Natural = tuple[tuple[str, int, str], ...]


@lru_cache(maxsize=4096)  # a model has few keys and sorts them often
def natural(text: str) -> Natural:
    """A key to sort by: runs of digits count as numbers. The text itself breaks ties (01 and 1)."""
    parts = _DIGITS.split(text)
    pairs = zip(parts[::2], [*parts[1::2], ""], strict=True)
    return (*((word, int(digits or 0), "") for word, digits in pairs), ("", 0, text))


def by_path(path: Path) -> tuple[Natural, ...]:
    """The same for a path, key by key."""
    return tuple(natural(key) for key in path)
