"""What becomes of a builder's change in the new firmware, and what changes without anyone having asked."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from cfgaudit.compare.carry.three import Triple
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Held, Setting


class Fate(StrEnum):
    """What becomes of a builder's change. Each has exactly one of these."""

    AS_IT_IS = "carried over as it is"
    RENAMED = "carried over under another name"
    REWRITTEN = "carried over in another unit or range"
    EQUAL = "what the new firmware comes with"
    CONFLICT = "changed by you and by the firmware"
    NOT_ALLOWED = "no longer allowed"
    GONE = "gone"
    UNSAID = "not in your dump"


SURE = (Fate.AS_IT_IS, Fate.RENAMED, Fate.REWRITTEN)
DOUBTFUL = (Fate.CONFLICT, Fate.NOT_ALLOWED, Fate.GONE, Fate.UNSAID)


class Proposal(Struct, frozen=True):
    """A setting of the new firmware that may be what a gone one was: a guess, for a person to judge."""

    setting: Setting
    seat: Seat
    why: tuple[str, ...]  # what speaks for it
    likeness: float  # 0 to 1


class Carried(Struct, frozen=True):
    """A builder's change and its fate.

    ``why`` explains a fate that is not plain; ``value`` is what would be written instead of one that is
    no longer allowed, itself if there is nothing near.
    """

    triple: Triple
    fate: Fate
    why: str = ""
    value: tuple[Held, ...] = ()
    proposals: tuple[Proposal, ...] = ()


class Shift(StrEnum):
    """How a setting changes that the builder had left alone."""

    MOVED = "comes with another value"
    NEW = "new"
    GONE = "gone"
    UNTOLD = "not told by the new firmware's dump"


class Moved(Struct, frozen=True):
    """A setting that the builder had left alone, and that is not what it was."""

    triple: Triple
    shift: Shift
