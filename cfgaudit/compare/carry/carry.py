"""A firmware update planned: from the factory dump and the builder's own to the new factory dump."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.compare.carry.fate import Carried, Fate, Moved
from cfgaudit.compare.carry.judged import carried, is_changed, moved
from cfgaudit.compare.carry.likeness import newcomers, proposals
from cfgaudit.compare.carry.line import ScriptLine
from cfgaudit.compare.carry.script import script
from cfgaudit.compare.carry.three import NotTold, is_one_firmware, triples
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import type_lines
from cfgaudit.dump.statement import Statement
from cfgaudit.dump.text import Text

SCRIPT = "the script"  # what places in lines that no file holds are called


class Plan(Struct, frozen=True):
    """What becomes of everything.

    ``mine`` is the builder's configuration as a whole: a dump of changes is laid over the factory's.
    ``strange`` are its lines that the dialect does not know and the factory dump does not have.
    """

    old: Reading
    mine: Reading
    new: Reading
    carried: tuple[Carried, ...]
    moved: tuple[Moved, ...]
    strange: tuple[Statement, ...]
    script: tuple[ScriptLine, ...]
    planned: Reading  # the new firmware with the script typed

    @property
    def one_firmware(self) -> bool:
        """Whether it is another version, not another firmware."""
        return is_one_firmware(self.mine, self.new)


def plan(old: Reading, mine: Reading, new: Reading) -> Plan:
    """Plan an update. ``old`` and ``new`` are dumps of untouched firmware, ``mine`` the builder's."""
    whole = _whole(old, mine)
    one_firmware = is_one_firmware(whole, new)
    every = tuple(triples(old, whole, new))
    changed = [carried(one, one_firmware=one_firmware) for one in every if is_changed(one)]
    kept = [one for one in every if not is_changed(one)]
    fresh = newcomers(one for one in kept if isinstance(one.old, NotTold))
    guessed = [
        replace(one, proposals=proposals(one.triple, fresh)) if one.fate is Fate.GONE else one
        for one in changed
    ]
    shifts = tuple(shift for one in kept for shift in moved(one))
    made = script(whole, new, guessed, shifts, one_firmware=one_firmware)
    return Plan(
        old,
        whole,
        new,
        made.carried,
        shifts,
        tuple(_strange(old, mine)),
        made.lines,
        typed(new, made.lines),
    )


def typed(new: Reading, lines: Iterable[ScriptLine]) -> Reading:
    """A configuration with a script typed on top of it."""
    text = "\n".join(one.text for one in lines)
    return type_lines(new, Text(SCRIPT, text, "utf-8", mark=False)).after


def _whole(old: Reading, mine: Reading) -> Reading:
    """The builder's configuration, of which a dump of changes tells only what is not as it came."""
    if mine.extent is not Extent.CHANGED:
        return mine
    told = [entry for entry in mine.entries if not entry.factory]
    as_it_came = replace(mine, entries=old.entries, recognition=replace(mine.recognition, extent=old.extent))
    return laid_over(as_it_came, told)


def _strange(old: Reading, mine: Reading) -> list[Statement]:
    had = {" ".join(one.text.split()) for one in old.unknown}
    return [one for one in mine.unknown if " ".join(one.text.split()) not in had]
