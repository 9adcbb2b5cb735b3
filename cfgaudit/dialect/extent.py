"""How much of a configuration a dump tells."""

from __future__ import annotations

from enum import StrEnum


class Extent(StrEnum):
    """How much of the configuration a dump tells."""

    FULL = "full"
    CHANGED = "changed"  # what differs from the defaults; the dialect's defaults fill the rest
    UNKNOWN = "unknown"  # the header does not say: silence stays unknown
