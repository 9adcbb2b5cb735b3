"""A configuration with seals in place of its private values."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.private import tells_nothing
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.seal import Sealer


def sealed(reading: Reading, sealer: Sealer) -> Reading:
    """The configuration with every private value sealed. What is sealed already stays as it is."""
    return laid_over(reading, (_sealed(entry, sealer) for entry in _private(reading)))


def private_settings(reading: Reading) -> tuple[str, ...]:
    """The settings that hold a private value, by the names that people call them."""
    return tuple(dict.fromkeys(entry.label for entry in _private(reading)))


def _private(reading: Reading) -> Iterator[Entry]:
    for entry in reading.entries:
        if any(_is_told(entry.form.cells[name], text) for name, text in entry.texts.items()):
            yield entry


def _is_told(cell: Cell, text: str) -> bool:
    return cell.private and not tells_nothing(cell, text)


def _sealed(entry: Entry, sealer: Sealer) -> Entry:
    texts = {
        name: sealer.seal(_identity(entry, name), _plain(entry.form.cells[name], text))
        if _is_told(entry.form.cells[name], text)
        else text
        for name, text in entry.texts.items()
    }
    return replace(entry, texts=texts)


def _identity(entry: Entry, cell: str) -> str:
    """What a setting is over all versions of its firmware."""
    opens, kin, outer, keys = entry.slot
    return "\x1f".join((opens, kin, *outer, *keys, cell))


def _plain(cell: Cell, text: str) -> str:
    """The value in one spelling, so that quotes make no other seal."""
    try:
        return cell.codec.write(cell.codec.read(text))
    except Misfit:
        return text
