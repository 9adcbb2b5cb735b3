"""Private values that would be seen by everybody who has the repository."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.told import every_path
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.seal import is_seal
from cfgaudit.model.model import HIDDEN
from cfgaudit.model.path import dotted
from cfgaudit.model.place import Place


def exposed(reading: Reading) -> Iterator[tuple[str, Place]]:
    """Setting and place of each, in the order of the file; those that are sealed are no longer private.

    Also of settings that are private by their nature and that the dialect's author did not mark, and of
    lines that a remark sign puts out of use: they are in the file all the same.
    """
    found = {(place.file, place.line): (name, place) for name, place in reading.private}
    for path, told in every_path(reading):
        leaf = reading.model.leaves[path]
        if told.value == HIDDEN and not is_seal(str(leaf.value)) and isinstance(leaf.origin, Place):
            place = leaf.origin
            found.setdefault((place.file, place.line), (told.line or dotted(path), place))
    yield from sorted(found.values(), key=lambda one: (one[1].line, one[1].column))
