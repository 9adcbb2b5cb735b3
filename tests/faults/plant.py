"""Planting: a good dump with one line of it written anew."""

from __future__ import annotations

from functools import cached_property

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import write
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.sheet import Build
from cfgaudit.model.value import Json, Value
from tests.audit.bench import reading_of, sample, sample_text, sheet, values


class Craft(Struct, frozen=True, dict=True):
    """A sample craft: its good dump and its build sheet."""

    name: str

    @cached_property
    def good(self) -> Reading:
        return sample(f"{self.name}/known-good.txt")

    @cached_property
    def lines(self) -> list[str]:
        return sample_text(f"{self.name}/known-good.txt").splitlines(keepends=True)

    @cached_property
    def told(self) -> dict[Path, Value]:
        return values(self.good)

    @cached_property
    def sheet(self) -> Build:
        return sheet(self.name)

    def declared(self, *keys: str | int) -> Json:
        """What the build sheet has at a path, or None."""
        node: Json = self.sheet.tree
        for key in keys:
            if isinstance(node, dict) and isinstance(key, str):
                node = node.get(key)
            elif isinstance(node, list) and isinstance(key, int) and key < len(node):
                node = node[key]
            else:
                return None
        return node

    @cached_property
    def devices(self) -> list[dict[str, Json]]:
        found = self.declared("devices")
        return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []

    def under(self, *keys: str) -> list[Path]:
        """The paths of the good dump that begin so, "*" for any segment, and that a line of it gives."""
        return [
            path
            for path in self.told
            if path in self.good.givers
            and len(path) >= len(keys)
            and all(key in ("*", part) for key, part in zip(keys, path, strict=False))
        ]


class Planted(Struct, frozen=True):
    """A dump with a fault: what was changed, and the line."""

    craft: str
    what: str
    reading: Reading
    line: int


def planted(craft: Craft, path: Path, value: Value) -> Planted | None:
    """The good dump with one path changed on its own line; None if the firmware cannot write it so."""
    entry = craft.good.givers.get(path)
    if entry is None or craft.told.get(path) == value:
        return None
    try:
        made = write(craft.good, {path: value})
    except Misfit:
        return None
    heads = {one.shown for one in craft.good.dump.statements if one.text.lstrip().startswith("[")}
    new = [line for line in made.lines if line not in heads and not _selects(craft.good, line)]
    if made.cannot or len(new) != 1:
        return None
    line = entry.statement.line
    reading = rewritten(craft, {line: new[0]})
    said = f"{dotted(path)} = {value!r}"
    changed = {one for one, had in craft.told.items() if values(reading).get(one) != had}
    return (
        Planted(craft.name, said, reading, line) if path in changed or path not in values(reading) else None
    )


def rewritten(craft: Craft, new: dict[int, str], more: str = "") -> Reading:
    """The good dump with some lines replaced, and more at its end."""
    lines = [f"{new[n]}\n" if n in new else line for n, line in enumerate(craft.lines, 1)]
    return reading_of("".join(lines) + more, f"{craft.name}.txt", craft.sheet)


def _selects(good: Reading, line: str) -> bool:
    """Whether a written line only selects the scope of those below it."""
    return any(entry.opens and entry.statement.shown == line for entry in good.entries if not entry.factory)
