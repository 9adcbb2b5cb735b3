"""Numbering: a firmware that numbers its ports by itself is taught in its own numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.dialect.codec.port import UNMAPPED, Port, is_unmapped
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.evidence import Entry
from cfgaudit.dialect.teach.fact import Fact
from cfgaudit.dialect.teach.key import Key
from cfgaudit.dialect.teach.lesson import Lesson, Spot, pairs
from cfgaudit.dialect.teach.own import Own
from cfgaudit.model.path import dotted
from cfgaudit.model.refusal import Refusal


def refuse_chip_names(dialect: Dialect, entries: Sequence[Entry], lesson: Lesson) -> None:
    """Refuse a lesson that calls a port by the chip's name where its lines have the firmware's number.

    Only a board says which of the chip's ports a number is, and a dialect is not of one board.
    """
    facts = [one for one in lesson.facts if one.path[0] == "ports" and not is_unmapped(one.path[1])]
    rows = [one.row for one in pairs(dialect, lesson)]
    numbered = dict(_port_keys(entries))
    if not facts or not rows or any(row.spot not in numbered for row in rows):
        return
    named = [str(numbered[row.spot].read(row.cells[numbered[row.spot].cell])) for row in rows]
    what = f"{facts[0].text!r} names a port of the chip, but this firmware numbers its ports itself"
    raise Refusal(f"{what}: the line that changed is {rows[0].text!r}", _mend(facts[0], sorted({*named})))


def _mend(fact: Fact, named: Sequence[str]) -> str:
    port, rest = fact.path[1], dotted(fact.path[2:])
    if len(named) > 1:
        which = f"say which of {', '.join(named)} it was instead of {port}"
        return f"{which}: 'ports.{named[0]}.{rest} {fact.sign} …'"
    said = fact.text.replace(f"ports.{port}.", f"ports.{named[0]}.", 1)
    number = named[0].removeprefix(UNMAPPED)
    return f"say {said!r}, and write board.ports.{port}.number: {number} into the build sheet"


def _port_keys(entries: Sequence[Entry]) -> Iterator[tuple[Spot, Key]]:
    """The kinds of lines whose port is called by the firmware's own number."""
    for one in entries:
        reading = one.reading
        for prefix, key in zip(reading.prefixes, reading.keys, strict=True):
            if prefix == ("ports",) and isinstance(key.rule, Own) and isinstance(key.rule.codec, Port):
                yield reading.spot, key
