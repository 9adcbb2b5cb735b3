"""A seat: the cell of a line, in the dump or not, where a value would be written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.row import Row, Wish
from cfgaudit.dialect.setting import Held, Whole


class Seat(Struct, frozen=True):
    """A cell of a line that may or may not be in the dump: where a setting would be written."""

    scope: Scope
    form: Form
    outer: Mapping[str, str]
    keys: Mapping[str, str]
    slot: Slot
    cell: str  # WHOLE for all cells of the line
    field: str

    def row(self, reading: Reading, wishes: Iterable[Wish]) -> Row:
        """The line with these wishes, on top of a reading."""
        entry = reading.in_force.get(self.slot)
        return Row(self.scope, self.form, self.outer, self.keys, entry, tuple(wishes))

    def wishes(self, value: Held) -> Iterator[Wish]:
        """What its cells shall hold."""
        if isinstance(value, Whole):
            yield from (Wish(cell, field, one) for cell, field, one in value.cells)
        else:
            yield Wish(self.cell, self.field, value)

    def wrong(self, value: Held) -> str:
        """Why this cell cannot hold a value; "" if it can."""
        return next((why for wish in self.wishes(value) if (why := self._misfit(wish))), "")

    def _misfit(self, wish: Wish) -> str:
        cell = self.form.cells[wish.cell]
        codec, allowed = cell.codec, cell.range
        if wish.field:
            codec, allowed = cell.fields[wish.field].codec, cell.fields[wish.field].range
        try:
            codec.write(wish.value)
        except Misfit as misfit:
            return misfit.why
        return allowed.outside(wish.value)

    @property
    def name(self) -> str:
        """How the firmware calls its line, without the scope."""
        texts = {name: self.keys.get(name, "") for name in self.form.line.cells}
        return self.form.named(texts)

    @property
    def keyword(self) -> str:
        """What its line begins with: the name of a setting, the keyword of a row."""
        return self.form.name or self.form.line.keyword
