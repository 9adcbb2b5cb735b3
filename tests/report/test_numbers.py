from __future__ import annotations

import re

from cfgaudit.report.cautions import AUDIT_LIMIT
from cfgaudit.report.numbers import numbers_text
from cfgaudit.report.style import COLOUR
from tests.report.hostile import hostile
from tests.report.otter import PAPER, TABLES


def test_a_figure_with_its_sum_and_its_source() -> None:
    lines = [*numbers_text(PAPER, TABLES)]
    (row,) = [line for line in lines if "frame on the line" in line]
    assert row.split("  ")[-1].strip() == "26 bytes × 10 bits / 420,000 baud ≈ 619 µs [1]"
    assert "619 µs" in row
    assert "  [1] the link's own specification" in lines


def test_what_is_missing_is_said_by_name() -> None:
    text = "\n".join(numbers_text(PAPER, TABLES))
    assert "needs devices.1.messages in the build sheet" in text
    assert "needs no table here lists the chip" not in text
    assert "not to be had: no table here lists the chip" in text
    assert "n/a" not in text


def test_a_subject_without_figures_says_so() -> None:
    lines = [*numbers_text(PAPER, TABLES)]
    at = next(n for n, line in enumerate(lines) if line.startswith("rotor"))
    assert lines[at + 1].strip().startswith("nothing to reckon")


def test_the_limit_stands_at_the_foot() -> None:
    assert [*numbers_text(PAPER, TABLES)][-1] == AUDIT_LIMIT


def test_nothing_hostile_reaches_the_terminal() -> None:
    for line in numbers_text(*hostile((PAPER, TABLES))):
        assert line.isprintable() or not line


def test_colours_change_nothing_but_colour() -> None:
    plain = [*numbers_text(PAPER, TABLES)]
    coloured = [*numbers_text(PAPER, TABLES, COLOUR)]
    assert plain != coloured
    assert plain == [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in coloured]
