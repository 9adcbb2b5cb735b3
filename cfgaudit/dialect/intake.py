"""The bytes of a dump → what it says, by the dialect that its header names or that was chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import Recognition, as_dialect, recognise
from cfgaudit.dialect.shelf import opened, shipped_fronts
from cfgaudit.dump.capture import cleaned, without_echo
from cfgaudit.dump.text import Text, decode


def reading_of(
    data: bytes, name: str, port_numbers: Mapping[int, str], chosen: Sequence[Dialect] = ()
) -> Reading:
    """Read a dump by the one dialect that was chosen, or else by the one that its header names.

    ``name`` is what places call the dump; ``port_numbers`` are those of the board, ``{3: "UART4"}``, for a
    firmware that numbers ports itself. Raises Refusal.
    """
    source = cleaned(decode(data, name))
    whole = _recognised(source, chosen)
    whole = replace(whole, dialect=whole.dialect.on_board(port_numbers))
    return read_dump(without_echo(source, whole.dialect.dump_with), whole)


def _recognised(source: Text, chosen: Sequence[Dialect]) -> Recognition[Dialect]:
    if chosen:
        return as_dialect(source, chosen[0])
    found = recognise(source, shipped_fronts())
    return Recognition(opened(found.dialect), found.extent, found.header, found.matched)
