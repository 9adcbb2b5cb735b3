"""A baseline's text: a dump of its dialect in one stable order, with its facts below the header."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.baseline.facts import Facts, fact_lines
from cfgaudit.dialect.canonical import header_lines, setting_lines
from cfgaudit.dialect.reading import Reading


def baseline_text(reading: Reading, facts: Facts, *, private: bool = False) -> str:
    """The whole text. ``private``: lines that may hold a private value and are not understood are kept."""
    return "".join(f"{line}\n" for line in _lines(reading, facts, private=private))


def _lines(reading: Reading, facts: Facts, *, private: bool) -> Iterator[str]:
    yield from header_lines(reading)
    yield from fact_lines(facts, reading.dialect.remark)
    yield ""
    yield from setting_lines(reading, private=private)
