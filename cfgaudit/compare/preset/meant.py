"""What a preset was typed for, as its remarks say it, and whether that is this configuration."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from cfgaudit.dialect.front import Front
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import said_by
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.place import Origin
from cfgaudit.model.version import numbers, versions


class Otherwise(Struct, frozen=True):
    """One thing that a preset says it was made for, and that is otherwise here."""

    text: str
    origin: Origin


def made_otherwise(preset: Text, before: Reading, fronts: Sequence[Front]) -> Iterator[Otherwise]:
    """What the preset was made for and this configuration is not: firmware, version, board, chip.

    ``fronts``: all dialects at hand, since a preset of another firmware is told by that one's words.
    """
    dialect = before.dialect
    told = said_by(preset, (*dialect.made_for, *dialect.headers))
    if not told:
        yield from _of_another(preset, before, fronts)
        return
    running = before.recognition.version
    for key, what in (("firmware.board", "board"), ("firmware.mcu", "chip")):
        leaf, here = told.get(key), before.model.at(("firmware", what if what == "board" else "mcu"))
        if leaf and isinstance(here, Leaf) and _plain(leaf.value) != _plain(here.value):
            more = ": its ports and pins may lie elsewhere" if what == "board" else ""
            yield Otherwise(
                f"it was made for the {what} {leaf.value}, and this is {here.value}{more}", leaf.origin
            )
    if (leaf := told.get("firmware.version")) and running and not _same_release(str(leaf.value), running):
        yield Otherwise(f"it was taken from {dialect.name} {leaf.value}, and this is {running}", leaf.origin)
    if (leaf := told.get("firmware.versions")) and running:
        allowed = versions(str(leaf.value))
        if allowed is None:
            yield Otherwise(f"for which versions it was made cannot be read: {leaf.value}", leaf.origin)
        elif running not in allowed:
            yield Otherwise(
                f"it was made for {dialect.name} {leaf.value}, and this is {running}", leaf.origin
            )


def _of_another(preset: Text, before: Reading, fronts: Sequence[Front]) -> Iterator[Otherwise]:
    for front in fronts:
        if front.name != before.dialect.name and (told := said_by(preset, (*front.made_for, *front.headers))):
            origin = next(iter(told.values())).origin
            yield Otherwise(f"it was made for {front.name}, and this is {before.dialect.name}", origin)
            return


def _plain(value: object) -> str:
    return str(value).strip().casefold()


def _same_release(one: str, other: str) -> bool:
    """Whether two versions differ at most in what comes behind their first two numbers."""
    return numbers(one)[:2] == numbers(other)[:2]
