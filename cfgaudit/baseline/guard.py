"""What keeps a baseline from being lost or spoilt: proof of the new text, a look at the old one."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from cfgaudit.baseline.facts import NOBODY_SAID, moment, read_facts
from cfgaudit.baseline.file import require_replaceable
from cfgaudit.baseline.git import State, state_of
from cfgaudit.dialect.canonical import setting_lines
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import said_by
from cfgaudit.dump.file import read_bytes
from cfgaudit.dump.statement import Statement
from cfgaudit.dump.text import Text, decode
from cfgaudit.model.model import Leaf
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import ordered

MEND = "look at it, commit it, or say --over"


def prove(text: Reading, meant: Reading, *, private: bool) -> None:
    """Refuse a baseline of which the text would not be read as what was recorded. Raises Refusal.

    ``private``: lines that are not understood and may hold a private value are in it as well.
    """
    kept = [one for one in meant.unknown if private or (one.file, one.line) not in meant.private_lines]
    if _said(text) != _said(meant) or _texts(text.unknown) != _texts(kept):
        what = "the baseline's text would be read as something else than the dump"
        mend = "tell us which dialect and dump it is; nothing was written"
        raise Refusal(what, mend, Place(meant.dump.file, 1, 1))


def _texts(lines: Iterable[Statement]) -> list[str]:
    return sorted(one.text.strip() for one in lines)


def _said(reading: Reading) -> object:
    known = replace(reading, unknown=())
    return {path: leaf.value for path, leaf in reading.model.leaves.items()}, tuple(setting_lines(known))


def why_not_over(path: str, reading: Reading, craft: str, when: str) -> Iterator[str]:
    """What would be lost by writing over a baseline: git could not give it back, or it is another one."""
    target = os.path.realpath(path)  # what is written over is what a link leads to
    if not os.path.lexists(target):
        return
    require_replaceable(path)
    state = state_of(target)
    if state is State.CHANGED:
        yield "it is not committed as it is: git could not give it back"
    elif state is State.UNKNOWN:
        yield "git does not keep it, so it could not be had again"
    lines = decode(read_bytes(target), path).text.splitlines()
    facts = read_facts(lines)
    if facts == NOBODY_SAID and lines:
        yield "it is no baseline"
    if facts.craft not in ("", craft):
        yield f"it is the baseline of {facts.craft}"
    if facts.age > moment(when):
        yield f"it was recorded later, {facts.when}"
    here = reading.model.at(("firmware", "version"))
    version = _version(lines, reading)
    if isinstance(here, Leaf) and ordered(version) > ordered(str(here.value)):
        yield f"it is of a later version of the firmware, {version}"


def _version(lines: list[str], reading: Reading) -> str:
    head = said_by(Text("", "\n".join(lines[:60]), "utf-8", mark=False), reading.dialect.headers)
    leaf = head.get("firmware.version")
    return str(leaf.value) if leaf else ""
