"""The clock: the only place that asks it."""

from __future__ import annotations

from datetime import date, datetime


def today() -> date:
    """The day that the machine has, where it is."""
    return date.today()


def now() -> datetime:
    """The time that the machine has, to the second, with its zone."""
    return datetime.now().astimezone().replace(microsecond=0)
