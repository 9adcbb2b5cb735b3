"""A reading: the kind of line, the cell and the keys by which a model path may be read."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.dialect.teach.coding import Coding
from cfgaudit.dialect.teach.fact import ANY, Untold
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Row, Spot
from cfgaudit.dialect.teach.own import Own
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value

PACKED = ("osd", "elements")  # where several values share a number more often than not


class Reading(Struct, frozen=True):
    """A way to read a model path: the kind of line, the cell with its coding, the cells of its keys."""

    shape: Path
    spot: Spot
    cell: str
    coding: Coding
    keys: tuple[Key, ...]

    @property
    def path(self) -> str:
        """The path as a dialect writes it: ``ports.{id}.functions``."""
        keys = iter(self.keys)
        parts = []
        for part in self.shape:
            key = next(keys) if part == ANY else None
            parts.append(part if key is None else f"{{{key.cell}}}" if key.cell else key.known[0][1])
        return ".".join(parts)

    @property
    def prefixes(self) -> tuple[Path, ...]:
        """The part of the path in front of each key."""
        return tuple(self.shape[:n] for n, part in enumerate(self.shape) if part == ANY)

    @property
    def parts(self) -> bool:
        """Whether the cell has other values beside this one."""
        return isinstance(self.coding, Field | Bit | Scattered) or bool(
            isinstance(self.coding, Own) and self.coding.field
        )

    def keys_of(self, row: Row) -> tuple[str | Untold, ...]:
        """The segments that a line says."""
        return tuple(key.read(row.cells.get(key.cell, "")) for key in self.keys)

    def says(self, row: Row) -> tuple[tuple[str | Untold, ...], Value | Untold]:
        """What a line of the reading's kind says."""
        return self.keys_of(row), self.coding.read(row.cells[self.cell])

    @property
    def said(self) -> str:
        """The reading in a builder's words."""
        return self._said(with_keys=False)

    @property
    def said_with_keys(self) -> str:
        """The reading in a builder's words, with what its keys are known to say."""
        return self._said(with_keys=True)

    def _said(self, with_keys: bool) -> str:
        cells = ", ".join(
            f"{key.cell!r} says the {ANY}{key.said if with_keys else ''}" for key in self.keys if key.cell
        )
        where = f"{self.cell!r} of {self.spot.name!r}"
        return f"{where}, {self.coding.said}" + (f"; {cells}" if cells else "")
