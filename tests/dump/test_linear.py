"""No line, however odd, takes long: the time grows with the length and no faster."""

from __future__ import annotations

import itertools
import time

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
        begun = time.process_time()
        parse(line)
        assert time.process_time() - begun < BOUND_S, (head, unit, tail)


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
