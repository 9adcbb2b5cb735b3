"""Where another reading has a setting: another version of the same firmware, or another firmware."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import WHOLE, Setting, is_whole

_Kin = Mapping[tuple[str, str], list[tuple[Scope, Form]]]  # by the scope's opening line and the kin


class NoSeat(Struct, frozen=True):
    """The dialect has no line that could say a setting."""


class Floor(Struct, frozen=True):
    """A reading, laid out to find seats in."""

    reading: Reading
    kin: _Kin

    def seat(self, setting: Setting) -> Seat | NoSeat:
        """Where this firmware has a setting of the same firmware in any version."""
        opens, kin, outer, keys = setting.slot
        there = self.kin.get((opens, kin), [])
        entry = self.reading.in_force.get(setting.slot)
        fits = _fitting(there, setting, entry)
        if not fits:
            return NoSeat()
        scope, form = fits[0]
        return Seat(
            scope,
            form,
            dict(zip(scope.cells, outer, strict=True)),
            dict(zip(form.key, keys, strict=True)),
            setting.slot,
            setting.cell,
            setting.field,
        )


def floor(reading: Reading) -> Floor:
    """Lay a reading out."""
    return Floor(reading, _by_kin(reading.dialect))


def _by_kin(dialect: Dialect) -> _Kin:
    kin: dict[tuple[str, str], list[tuple[Scope, Form]]] = {}
    for scope in dialect.scopes:
        opens = scope.opens.text if scope.opens else ""
        for form in scope.all_forms():
            kin.setdefault((opens, form.kin), []).append((scope, form))
    return kin


def _fitting(
    there: list[tuple[Scope, Form]], setting: Setting, entry: Entry | None
) -> list[tuple[Scope, Form]]:
    """The shapes of a row that can take the setting: the same one first, then the one in force."""

    def distance(one: tuple[Scope, Form]) -> tuple[bool, bool]:
        return one[1].line.text != setting.form.line.text, entry is None or one[1] is not entry.form

    return sorted((one for one in there if _takes(one[1], setting)), key=distance)


def _takes(form: Form, setting: Setting) -> bool:
    if len(form.key) != len(setting.slot[3]):
        return False
    if setting.cell == WHOLE:
        return form.cells.keys() - set(form.key) == setting.form.cells.keys() - set(setting.form.key)
    if setting.cell not in form.cells or (is_whole(form) and not is_whole(setting.form)):
        return False
    fields = form.cells[setting.cell].fields
    return setting.field in fields if setting.field else not fields
