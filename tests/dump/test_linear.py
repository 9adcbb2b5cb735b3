"""No line, however odd, takes long: the time grows with the length and no faster."""

from __future__ import annotations

import gc
import itertools
import time
from collections.abc import Callable

import pytest

from cfgaudit.dump.grammar import FAMILIES, parser
from cfgaudit.dump.read import LONGEST
from tests.dump import texts

HEADS = ("", "x ", "x = ", 'x = "', "x,", 'x,"')
UNITS = (
    " ", "\t", '"', "=", ":", "a", "\\", "[", "]", "#", " #", " ;", " a", " a=", " a :", "= ", ' "', ' ""',
    '"a ', '" ', '"\\', 'a\\"', "a[", " a[b]", "[a]", " :=", "~ ",
    "\xa0", ". ", ",", ", ", " ,", ",a", ", a ", ',""', ', "a" ', ",#",
)  # fmt: skip
TAILS = ('"', " =", "]")
BOUND_S = 0.25  # some fifty times what such a line takes


@pytest.mark.parametrize("family", FAMILIES)
def test_a_line_takes_milliseconds(family: str) -> None:
    parse = parser(family).parse
    for head, unit, tail in itertools.product(HEADS, UNITS, TAILS):
        line = (head + unit * LONGEST)[: LONGEST - len(tail)] + tail + "\n"
        assert any(_seconds(parse, line) < BOUND_S for _ in range(3)), (head, unit, tail)


def _seconds(parse: Callable[[str], object], line: str) -> float:
    """What a parse takes, without the collector, which reading switches off as well.

    A collection walks through all that the tests before have left: that is no time of the line's.
    """
    gc.disable()
    try:
        begun = time.process_time()
        parse(line)
        return time.process_time() - begun
    finally:
        gc.enable()


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("line", ["x := 1\n", 'x "\n', "[a]\n", "\r", "x,1\n"])
def test_a_dump_takes_time_by_its_lines(family: str, line: str) -> None:
    def takes(count: int) -> float:
        text = line * count
        begun = time.process_time()
        texts.statements(text, family)
        return time.process_time() - begun

    takes(500)  # the parser is made once
    assert min(takes(1_200) for _ in range(3)) < 5 * min(takes(600) for _ in range(3)) + 0.05
