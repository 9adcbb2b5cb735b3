"""Captures of the samples' dumps: rows of a file as a terminal leaves them, and which dump line each is."""

from __future__ import annotations

import pathlib
from dataclasses import dataclass, field

import cfgaudit
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.place import Place

ROOT = pathlib.Path(__file__).parents[2]
COMMANDS = {"otter": "show everything", "heron": "tell all", "vole": "list the-whole"}
CODES = ("\x1b[32m", "\x1b[0m", "\x1b[1;38;5;208m", "\x1b[K", "\x1b(B", "\x1b]0;bench\x07", "\x0f", "\x1b=")
NAMES = tuple(COMMANDS)


@dataclass
class Capture:
    """Rows without their ends; ``of`` says which line of the dump (from 0) a row is, or -1."""

    rows: list[str]
    of: list[int] = field(default_factory=list)
    end: str = "\n"
    mark: bool = False
    closed: bool = True

    def __post_init__(self) -> None:
        self.of = self.of or list(range(len(self.rows)))

    def insert(self, at: int, *rows: str) -> None:
        """Put rows in that are none of the dump."""
        self.rows[at:at] = rows
        self.of[at:at] = [-1] * len(rows)

    @property
    def data(self) -> bytes:
        """The file."""
        text = self.end.join(self.rows) + (self.end if self.closed else "")
        return b"\xef\xbb\xbf" * self.mark + text.encode()


def text_of(name: str) -> str:
    """A sample's dump."""
    return (ROOT / "samples" / name / "known-good.txt").read_text("utf-8")


def capture(name: str) -> Capture:
    """A sample's dump, clean."""
    return Capture(text_of(name).splitlines())


def read(data: bytes) -> Reading:
    """The reading of a file's bytes."""
    return cfgaudit.read_dump("capture.txt", data=data)


def values(reading: Reading) -> dict[object, object]:
    """What a reading says, without where."""
    return {path: leaf.value for path, leaf in reading.model.leaves.items()}


def check(name: str, noisy: Capture) -> Reading:
    """The capture reads as the dump does, and every place leads to the same word in it."""
    plain = read(text_of(name).encode())
    found = read(noisy.data)
    assert values(found) == values(plain)
    assert [one.text for one in found.unknown] == []
    assert found.doubts == plain.doubts == ()
    source = found.dump.source
    assert source.encoded() == noisy.data
    assert len(source.text) == len(source.original or source.text)
    lines = capture(name).rows
    for path, leaf in plain.model.leaves.items():
        there = found.model.leaves[path].origin
        if isinstance(leaf.origin, Place) and leaf.origin.column > 1:
            assert isinstance(there, Place)
            assert noisy.of[there.line - 1] == leaf.origin.line - 1
            word = lines[leaf.origin.line - 1][leaf.origin.column - 1 :]
            assert noisy.rows[there.line - 1][there.column - 1] == word[0]
    return found
