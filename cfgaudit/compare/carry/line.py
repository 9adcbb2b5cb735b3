"""A line of the script that carries a builder's settings over."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.compare.carry.fate import Carried, Moved
from cfgaudit.dialect.private import tells_nothing
from cfgaudit.dialect.row import Desk, Row
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
    desk: Desk, row: Row, text: str, about: tuple[Carried | Moved, ...], *, remark: bool = False
) -> ScriptLine:
    """A row's line in the firmware's hand, or such a line behind the sign of a remark.

    It is hidden for what it is about, and for what its other cells hold as well.
    """
    sign = desk.reading.dialect.remark
    private = next((one.triple.named.label for one in about if one.triple.named.private), "")
    if not private and _holds_private(row):
        private = about[0].triple.named.entry.label
    hidden = f"{sign} {private} {HIDDEN}: type it yourself" if private else ""
    return ScriptLine(f"{sign} {text}" if remark else text, about, remark, hidden)


def _holds_private(row: Row) -> bool:
    """Whether a cell holds what no report may show: wished for, or in the line that is in force."""
    wished = {wish.cell for wish in row.wishes}
    return any(
        cell.private and (name in wished or (name in row.held and not tells_nothing(cell, row.held[name])))
        for name, cell in row.form.cells.items()
    )
