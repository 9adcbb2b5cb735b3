"""What a dump tells, with the lines that tell it."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.derive.tree import Tree
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path
from cfgaudit.model.place import Default

LONGEST = 90  # characters that are shown of a line


class Told(Struct, frozen=True, dict=True):
    """A reading, as one who drafts a sheet from it asks it."""

    reading: Reading

    @property
    def model(self) -> Tree:
        """The model as a tree."""
        return self.reading.model.tree

    def lines(self, *paths: Path) -> tuple[str, ...]:
        """The dump's lines that say any of these paths, each once: ``46: out 3 turns m3 pin C9``."""
        found = (self._line(path) for path in paths)
        return tuple(dict.fromkeys(line for line in found if line))

    def below(self, *path: str) -> tuple[Path, ...]:
        """The paths that the dump tells below this one, and this one."""
        return tuple(one for one in self.reading.model.leaves if one[: len(path)] == path)

    def _line(self, path: Path) -> str:
        if path == ("firmware", "name"):  # known by the header as a whole, in which its version stands
            path = ("firmware", "version")
        leaf = self.reading.model.at(path)
        if not isinstance(leaf, Leaf):
            return ""
        if isinstance(leaf.origin, Default):
            return f"a default of {self.reading.dialect.name} that no line changes"
        number = leaf.origin.line
        statements = self.reading.dump.statements
        text = self.reading.shown(statements[number - 1]) if 0 < number <= len(statements) else ""
        return f"{number}: {text if len(text) <= LONGEST else f'{text[:LONGEST]}…'}"
