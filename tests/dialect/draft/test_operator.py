"""Drafts write an assignment's operator as the dump does."""

from __future__ import annotations

import pytest

from cfgaudit.dialect.draft.draft import draft
from tests.dialect.draft.drafted import loaded, read, told, typed


@pytest.mark.parametrize("way", ["{name}: {value}", "{name}:= {value}", "{name}={value}", "{name} = {value}"])
@pytest.mark.parametrize("head", ["", "[link A]\n"])
def test_the_operator_stands_as_in_the_dump(way: str, head: str) -> None:
    names = ("alder", "osier", "willow", "rush_pace", "pad.1", "pad.2", "pad.3", "fern")
    rows = [way.replace("{name}", name).replace("{value}", str(3 + n)) for n, name in enumerate(names)]
    dump = typed("# wren 1.2\n" + head + "\n".join(rows) + "\n")
    made = draft(dump, told("craft: wren\n"))
    assert loaded(made).assignment.text == way
    reading = read(made, dump)
    assert not reading.unknown
    assert [one.form.line.render(one.texts) for one in reading.entries if one.form.cells][-8:] == rows
