"""Where something was written: the one notion of position in the whole program."""

from __future__ import annotations

from msgspec import Struct


class Place(Struct, frozen=True, order=True):
    """A position in a file the user can open: lines and columns count from 1."""

    file: str
    line: int
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Default(Struct, frozen=True):
    """Origin of a value no line of the dump carries: the dialect declares it."""

    dialect: str

    def __str__(self) -> str:
        return f"default of {self.dialect}"


Origin = Place | Default
