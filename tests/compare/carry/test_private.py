"""No private value is in what an update shows, wherever it comes from."""

from __future__ import annotations

import pytest

from cfgaudit.compare.carry.carry import Plan, plan
from cfgaudit.compare.carry.words import doubt_of
from cfgaudit.dialect.reading import Reading
from tests.dialect.small import compiled, read

CROW = """
dialect: crow
family: console
header: "crow {firmware.version}, {extent}"
extent: {full: all, changed: some}
remark: "#"
assignment: "{name} := {value}"
forms:
  - line: "owner {n} {name} {number}"
    key: [n]
    cells: {n: integer, name: {text: "[a-z]{0,9}", private: true}, number: integer}
settings:
  codes: {list: {of: {integer: , range: [0, 50]}, separated: ","}, private: true}
"""


def crow(version: str, *rows: str) -> Reading:
    return read(compiled(CROW), f"# crow {version}, all", *rows)


def planned(old: str, mine: str, new: str) -> Plan:
    return plan(crow("1.0", old), crow("1.0", mine), crow("2.0", new))


@pytest.mark.parametrize(
    ("old", "mine", "new"),
    [
        ("codes := 1", "codes := 77,3", "codes := 1"),  # the reason repeats what does not fit
        ("owner 1 none 5", "owner 1 hidden 7", "owner 1 none 6"),  # the remark is about the other cell
        ("owner 1 none 5", "owner 1 hidden 5", "owner 1 none 6"),  # that cell has moved by itself
        ("owner 1 none 5", "owner 1 none 7", "owner 1 hidden 5"),  # the new dump is not quite untouched
    ],
)
def test_a_private_value_is_never_shown(old: str, mine: str, new: str) -> None:
    made = planned(old, mine, new)
    assert made.carried
    shown = [*(line.shown for line in made.script), *map(doubt_of, made.carried)]
    assert not [text for text in shown if "hidden" in text or "77" in text]


def test_a_line_with_an_empty_private_cell_is_shown() -> None:
    made = planned('owner 1 "" 5', 'owner 1 "" 7', 'owner 1 "" 5')
    assert [line.shown for line in made.script] == ['owner 1 "" 7']
