"""What the comparison needs to know of a configuration that was read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from cfgaudit.dialect.reading import Flat
from cfgaudit.dump.statement import Statement
from cfgaudit.model.model import Model
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place


class Written(Protocol):
    """The dump's text, as far as it counts here."""

    @property
    def settings(self) -> int:
        """How many of its lines set something, known to the dialect or not."""


class Side(Protocol):
    """One of two configurations laid side by side."""

    @property
    def dump(self) -> Written:
        """What was read."""

    @property
    def model(self) -> Model:
        """What the dump says in the vocabulary of the trade, and its flat settings outside it."""

    @property
    def unknown(self) -> tuple[Statement, ...]:
        """The lines that the dialect does not know."""

    @property
    def private(self) -> tuple[tuple[str, Place], ...]:
        """Name and place of each value that no report may show."""

    @property
    def dialect_name(self) -> str:
        """Names of flat settings mean something within one dialect only."""

    @property
    def flats(self) -> Mapping[str, Flat]:
        """What flat settings are, by name; one that is missing is its own name and means its text."""

    def after(self, path: Path) -> str:
        """What a change of this leaf waits for: ``""``, ``"restart"`` or ``"power cycle"``."""
