"""A configuration as a list, one setting a line: what git compares in place of the text itself.

Each line carries its whole name, since a diff shows it without its neighbours, and the columns stand
where they stand whatever else is in the list, so that a change of one setting changes one line.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from cfgaudit.baseline.facts import NOBODY_SAID, Facts, read_facts
from cfgaudit.compare.told import Told, every_other, every_path
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.order import natural
from cfgaudit.report.safe import safe

_SUBJECT, _WHAT, _VALUE = 22, 20, 24  # columns


def listing(reading: Reading) -> Iterator[str]:
    """The facts of a baseline, then all settings, then lines that nobody understands. Nothing private."""
    facts = read_facts(one.text for one in reading.dump.statements)
    if facts != NOBODY_SAID:
        yield "[baseline]"
        yield from map(safe, _fact_lines(facts))
        yield ""
    for section, inside in groupby(every_path(reading), key=lambda one: one[0][0]):
        yield f"[{safe(section)}]"
        yield from (_line(told) for _, told in inside)
        yield ""
    if others := [*every_other(reading)]:
        yield "[other settings]"
        yield from map(_line, others)
        yield ""
    if reading.unknown:
        yield "[lines that are not understood]"
        shown = (" ".join(reading.shown(one).split()) for one in reading.unknown)
        yield from (f"unknown line{' ' * 10} {safe(text)}" for text in sorted(shown, key=natural))


def raw(text: str, reason: str) -> Iterator[str]:
    """A text that cannot be read, made safe, below the reason why."""
    yield safe(f"cfgaudit cannot read this: {reason}")
    yield from map(safe, text.splitlines())


def _fact_lines(facts: Facts) -> Iterator[str]:
    told = {
        "craft": facts.craft,
        "recorded": f"{facts.when} with cfgaudit {facts.tool_version}",
        "from": f"{facts.source} (sha256 {facts.digest})" if facts.digest else facts.source,
        "audited": facts.audited,
        "note": facts.note,
        "sealed": ", ".join(facts.seals),
    }
    for name, words in told.items():
        if words:
            yield f"{name:<{_SUBJECT}} {words}"


def _line(told: Told) -> str:
    subject, what, value, line = map(safe, (told.subject, told.what, told.value, told.line))
    if not (what or line):
        return f"{subject:<{_SUBJECT + 1 + _WHAT}} {value}"
    return f"{subject:<{_SUBJECT}} {what:<{_WHAT}} {value:<{_VALUE}} {line}".rstrip()
