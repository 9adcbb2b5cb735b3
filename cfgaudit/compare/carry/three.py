"""Three configurations setting by setting: as it came, as the builder has it, as the new firmware comes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.compare.difference import canonical
from cfgaudit.compare.nested import JOBS
from cfgaudit.dialect.counterpart import Floor, NoSeat, floor
from cfgaudit.dialect.reading import Entry, Reading, Slot
from cfgaudit.dialect.row import Unwritable
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import Key, Setting, Whole, is_whole, settings
from cfgaudit.dialect.write import seats_of
from cfgaudit.model.path import Path


class NotTold(Struct, frozen=True):
    """A configuration that says nothing of a setting."""


NOT_TOLD = NotTold()
Side = Setting | NotTold


class Triple(Struct, frozen=True):
    """One setting in all three. ``seat``: where the new firmware would write it."""

    old: Side
    mine: Side
    new: Side
    seat: Seat | NoSeat

    @property
    def named(self) -> Setting:
        """The setting as the builder knows it, or as the new firmware brings it."""
        return next(side for side in (self.mine, self.old, self.new) if isinstance(side, Setting))


def alike(one: Side, other: Side) -> bool:
    """Whether two configurations say the same of a setting, however it is written."""
    if isinstance(one, NotTold) or isinstance(other, NotTold):
        return isinstance(one, NotTold) and isinstance(other, NotTold)
    return _content(one) == _content(other)


def _content(side: Setting) -> object:
    if isinstance(side.value, Whole):
        return side.form.line.cells, tuple((*where, canonical(one)) for *where, one in side.value.cells)
    content = canonical(side.value)
    as_set = any(path[-1] == JOBS for path in side.paths)
    return frozenset(content) if as_set and isinstance(content, tuple) else content


def is_one_firmware(one: Reading, other: Reading) -> bool:
    """Whether two dumps are of one firmware, in whatever versions."""
    return one.dialect.name == other.dialect.name


def triples(old: Reading, mine: Reading, new: Reading) -> Iterator[Triple]:
    """Every setting that any of the three tells and that is not the same in all of them.

    Within one firmware, line by line, whatever a version calls them; between two, by the model.
    """
    if is_one_firmware(mine, new):
        yield from _by_line(old, mine, new)
    else:
        yield from _by_model(old, mine, new)


# Within one firmware


def _by_line(old: Reading, mine: Reading, new: Reading) -> Iterator[Triple]:
    ground = floor(new)
    for at in dict.fromkeys((*mine.in_force, *old.in_force, *new.in_force)):
        lines = [reading.in_force[at] for reading in (old, mine, new) if at in reading.in_force]
        if len(lines) < 3 or not _is_one_line(*lines):
            yield from _of_line(at, old, mine, new, ground)


def _is_one_line(one: Entry, *others: Entry) -> bool:
    return all(
        one.texts == other.texts and (one.form is other.form or one.form.cells == other.form.cells)
        for other in others
    )


def _of_line(at: Slot, old: Reading, mine: Reading, new: Reading, ground: Floor) -> Iterator[Triple]:
    lines = [reading.in_force.get(at) for reading in (old, mine, new)]
    whole = any(is_whole(entry.form) for entry in lines if entry) or _are_shapes(at, lines, mine)
    sides = [{one.key: one for one in settings(at, entry, whole=whole)} if entry else {} for entry in lines]
    for key in dict.fromkeys(key for side in (sides[1], sides[0], sides[2]) for key in side):
        was, has, comes = (_side(side, key) for side in sides)
        named = next(one for one in (has, was, comes) if isinstance(one, Setting))
        yield Triple(was, has, comes, ground.seat(named))


def _side(side: Mapping[Key, Setting], key: Key) -> Side:
    return side.get(key, NOT_TOLD)


def _are_shapes(at: Slot, lines: list[Entry | None], mine: Reading) -> bool:
    """Whether the lines are different shapes of one row, not one shape as later versions write it."""
    texts = {entry.form.line.text for entry in lines if entry and not entry.form.name}
    if len(texts) < 2:
        return False
    known = {form.line.text for scope in mine.dialect.scopes for form in scope.forms if form.kin == at[1]}
    return len(texts & known) > 1


# Between two firmwares


def _by_model(old: Reading, mine: Reading, new: Reading) -> Iterator[Triple]:
    was, has, comes = (_by_path(reading) for reading in (old, mine, new))
    for path in dict.fromkeys((*has, *was)):
        sides = [side.get(path, NOT_TOLD) for side in (was, has, comes)]
        if not (alike(sides[0], sides[1]) and alike(sides[1], sides[2])):
            yield Triple(sides[0], sides[1], sides[2], _seat(new, path))
    flat_was, flat_has = _flat(old), _flat(mine)
    for key in dict.fromkeys((*flat_has, *flat_was)):
        yield Triple(_side(flat_was, key), _side(flat_has, key), NOT_TOLD, NoSeat())


def _seat(new: Reading, path: Path) -> Seat | NoSeat:
    try:
        return seats_of(new, path)[0]
    except Unwritable:
        return NoSeat()


def _every(reading: Reading) -> Iterator[Setting]:
    for at, entry in reading.in_force.items():
        yield from settings(at, entry, whole=False)


def _by_path(reading: Reading) -> dict[Path, Setting]:
    return {path: one for one in _every(reading) for path in one.paths}


def _flat(reading: Reading) -> dict[Key, Setting]:
    """The settings that the vocabulary has no word for, those apart that say what a line is of."""
    return {
        one.key: one
        for one in _every(reading)
        if not one.paths and not (is_whole(one.form) and one.cell in _in_paths(one))
    }


def _in_paths(one: Setting) -> set[str]:
    return {name for gift in one.form.gifts for name in gift.path.cells}
