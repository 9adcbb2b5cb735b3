"""What differs between two configurations, in the builder's words."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from cfgaudit.model.path import Path
from cfgaudit.model.place import Origin


class Weight(StrEnum):
    """What a change can do, consequence first."""

    HURT = "can hurt"
    WIRING = "wiring and links"
    FLIGHT = "how it flies"
    REST = "the rest"


class Change(Struct, frozen=True):
    """One change a builder would speak of in one breath.

    A job that moved from one port to another is one change with two paths. ``subject`` is what
    changed ("motor 3", "displayport", "volts.warn"), ``text`` how ("pin PC8 → PC9").
    """

    weight: Weight
    subject: str
    text: str
    paths: tuple[Path, ...]  # model paths touched; empty for settings outside the vocabulary
    before: tuple[Origin, ...]
    after: tuple[Origin, ...]
    effect: str = ""  # when it takes effect ("after a restart"); "" if at once
