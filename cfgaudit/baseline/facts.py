"""What a baseline says of itself, in remarks below its header: when, from what, how it was audited."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import datetime

from msgspec import Struct

from cfgaudit.dialect.seal import FACT

_OF = re.compile(r"(.+?), recorded (\S+) with cfgaudit (\S+)")
_FROM = re.compile(r"(.*?)(?: \(sha256 ([0-9a-f]{64})\))?")
LOOKED_AT = 60  # lines: facts stand below the header


class Facts(Struct, frozen=True):
    """Where a baseline comes from; "" is what nobody said. ``when`` is an ISO 8601 time with its zone."""

    craft: str
    when: str
    tool_version: str
    source: str  # the dump's name, without the folders it lay in
    digest: str  # of the dump's bytes: SHA-256 in hex; "" of a text that came from no one dump
    audited: str  # what an audit found, in words
    note: str = ""
    seals: tuple[str, ...] = ()  # the settings whose private values are sealed

    @property
    def age(self) -> float:
        """``when`` as a number to sort by, whatever its zone; 0 of what is no time."""
        return moment(self.when)


NOBODY_SAID = Facts("", "", "", "", "", "")


def moment(when: str) -> float:
    """An ISO 8601 time as seconds, whatever its zone; 0 of what is none."""
    try:
        return datetime.fromisoformat(when).timestamp()
    except (ValueError, OverflowError):
        return 0.0


def fact_lines(facts: Facts, sign: str) -> Iterator[str]:
    """The remarks."""
    yield f"{sign} baseline of: {facts.craft}, recorded {facts.when} with cfgaudit {facts.tool_version}"
    digest = f" (sha256 {facts.digest})" if facts.digest else ""
    yield f"{sign} baseline from: {facts.source}{digest}"
    yield f"{sign} baseline audited: {facts.audited}"
    if facts.note:
        yield f"{sign} baseline note: {facts.note}"
    if facts.seals:
        yield f"{sign} baseline seals: {', '.join(facts.seals)}"


def is_fact(line: str) -> bool:
    """Whether a line is one of these remarks."""
    return FACT.fullmatch(line.rstrip("\r\n")) is not None


def read_facts(lines: Iterable[str]) -> Facts:
    """The facts among the first lines of a text; ``NOBODY_SAID`` where it has none."""
    told: dict[str, str] = {}
    for number, line in enumerate(lines):
        if number >= LOOKED_AT:
            break
        if found := FACT.fullmatch(line.rstrip("\r\n")):
            told.setdefault(found[1], found[2])
    of = _OF.fullmatch(told.get("of", ""))
    if of is None:
        return NOBODY_SAID
    source = _FROM.fullmatch(told.get("from", ""))
    return Facts(
        craft=of[1],
        when=of[2],
        tool_version=of[3],
        source=source[1] if source else "",
        digest=(source[2] or "") if source else "",
        audited=told.get("audited", ""),
        note=told.get("note", ""),
        seals=tuple(told["seals"].split(", ")) if told.get("seals") else (),
    )
