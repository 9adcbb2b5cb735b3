"""Where lessons are given in these tests."""

from __future__ import annotations

from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dialect.teach.fact import fact
from cfgaudit.dialect.teach.teach import Taught, teach
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.path import parse
from cfgaudit.model.placed import read_yaml


class Desk:
    """A dialect and a dump, changed from lesson to lesson."""

    def __init__(self, text: str, dump: str) -> None:
        self.text, self.dump = text, dump

    def lesson(self, old: str, new: str, *facts: str) -> Taught:
        assert old in self.dump
        after = self.dump.replace(old, new)
        placed = read_yaml(self.text, "own.yaml")
        taught = teach(placed, self._read(self.dump), self._read(after), [fact(one) for one in facts])
        if not taught.refused:
            self.text, self.dump = taught.text, after
        return taught

    def _read(self, text: str) -> Dump:
        family = own_dialect(read_yaml(self.text, "own.yaml")).family
        return read_statements(Text("dump.txt", text, "utf-8", mark=False), family)

    def value(self, path: str) -> object:
        """What the taught dialect reads out of the last dump."""
        made = own_dialect(read_yaml(self.text, "own.yaml"))
        text = Text("dump.txt", self.dump, "utf-8", mark=False)
        leaf = read_dump(text, as_dialect(text, made)).model.leaves.get(parse(path))
        return leaf.value if leaf else None
