"""The clock: the only place that asks it."""

from __future__ import annotations

from datetime import date


def today() -> date:
    """The day that the machine has, where it is."""
    return date.today()
