"""A line of the script that carries a builder's settings over."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.compare.carry.fate import Carried, Moved
from cfgaudit.dialect.row import Desk
from cfgaudit.model.model import HIDDEN


class ScriptLine(Struct, frozen=True):
    """A line of the script. ``about``: what it carries over, or is a remark on."""

    text: str
    about: tuple[Carried | Moved, ...] = ()
    remark: bool = False
    hidden: str = ""  # the remark that reports show instead, if the line holds a private value

    @property
    def shown(self) -> str:
        """The line as reports may show it."""
        return self.hidden or self.text


def scripted(
    desk: Desk, text: str, about: tuple[Carried | Moved, ...], *, remark: bool = False
) -> ScriptLine:
    """A line in the firmware's hand, or such a line behind the sign of a remark."""
    sign = desk.reading.dialect.remark
    private = next((one.triple.named.label for one in about if one.triple.named.private), "")
    hidden = f"{sign} {private} {HIDDEN}: type it yourself" if private else ""
    return ScriptLine(f"{sign} {text}" if remark else text, about, remark, hidden)
