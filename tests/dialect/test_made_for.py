"""The remark of a preset that says what it was typed for."""

from __future__ import annotations

import re

import pytest

from cfgaudit.dialect.shelf import shipped_dialects, shipped_fronts
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import versions
from tests.dialect.small import TEAL, compiled
from tests.house.checkout import ROOT

FRONTS = {page.name: page for page in shipped_fronts()}


@pytest.mark.parametrize("told", ["4.1", ">= 4.1 <5", ">=4.1, <5.0"])
@pytest.mark.parametrize("name", FRONTS)
def test_it_gives_versions_and_board(name: str, told: str) -> None:
    (remark,) = FRONTS[name].made_for
    assert remark.gives == ("firmware.versions", "firmware.board")
    found = remark.pattern.fullmatch(remark.text.format(firmware=Holes(told, "Sedge-743")))
    assert found is not None
    assert found.groups() == (told, "Sedge-743")
    assert versions(found[1]) is not None


class Holes:
    """What str.format fills into a dialect's holes."""

    def __init__(self, versions: str, board: str) -> None:
        self.versions, self.board = versions, board


def test_no_header_takes_such_a_remark_for_its_own() -> None:
    for page in FRONTS.values():
        for remark in page.made_for:
            text = remark.text.format(firmware=Holes("4.1", "Sedge-743"))
            every = [header for one in FRONTS.values() for header in one.headers]
            assert [header.text for header in every if header.pattern.fullmatch(text)] == []


def test_the_sample_preset_says_it() -> None:
    rows = (ROOT / "samples/otter/preset.txt").read_text("utf-8").splitlines()
    (remark,) = FRONTS["plover"].made_for
    found = [match for row in rows if (match := remark.pattern.fullmatch(row.removeprefix("~ ")))]
    assert [match.groups() for match in found] == [("4.1", "Sedge-743")]


def test_the_dialect_has_what_its_front_page_has() -> None:
    assert {one.name: one.made_for for one in shipped_dialects()} == {
        page.name: page.made_for for page in FRONTS.values()
    }
    assert compiled(TEAL).made_for == ()


@pytest.mark.parametrize(
    ("told", "what"),
    [
        ("made for teal on {firmware.board}", "has a version"),
        ("for {firmware.version}{firmware.board}", "does not say where one cell ends"),
        ("for {firmware.version} as {firmware.name}", "not firmware.name"),
        ("for {firmware.versions} {extent}", "not extent"),
        ("for teal", "has a version"),
    ],
)
def test_what_cannot_stand_in_it_is_refused(told: str, what: str) -> None:
    with pytest.raises(Refusal, match=re.escape(what)) as refused:
        compiled(
            TEAL.replace("dump_with:", f'made_for: ["for teal {{firmware.versions}}", "{told}"]\ndump_with:')
        )
    assert refused.value.place is not None
    assert refused.value.place.column == 44


def test_it_may_tell_all_that_a_build_is_known_by() -> None:
    made = compiled(
        TEAL.replace(
            "dump_with:", 'made_for: "teal {firmware.version} ({firmware.mcu}, {firmware.board})"\ndump_with:'
        )
    )
    assert made.made_for[0].gives == ("firmware.version", "firmware.mcu", "firmware.board")
