"""Which dialect a dump is of: by its header, and by nothing else."""

from __future__ import annotations

import time

import pytest

from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.recognise import FIRST_LINES, LONGEST_HEADER, Recognition, as_dialect, recognise
from cfgaudit.dialect.shelf import shipped_dialects
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from tests.dialect.dumps import DUMPS
from tests.dialect.small import KNOT, TEAL, compiled

TEAL_DIALECT, KNOT_DIALECT = compiled(TEAL, "teal.yaml"), compiled(KNOT, "knot.yaml")


def dump(text: str) -> Text:
    return Text("dump.txt", text, "utf-8", mark=False)


def recognised(text: str) -> Recognition:
    return recognise(dump(text), (KNOT_DIALECT, TEAL_DIALECT))


def test_the_header_says_what_it_is() -> None:
    found = recognised("\n~ teal 1.2.3 on Reed-405, some\nkeep\n")
    assert found.dialect is TEAL_DIALECT
    assert found.extent is Extent.CHANGED
    assert found.version == "1.2.3"
    assert found.header == {
        ("firmware", "version"): Leaf("1.2.3", Place("dump.txt", 2, 8)),
        ("firmware", "board"): Leaf("Reed-405", Place("dump.txt", 2, 17)),
        ("firmware", "name"): Leaf("teal", Place("dump.txt", 1, 1)),
    }


@pytest.mark.parametrize(
    ("line", "extent"),
    [
        ("~ teal 1.0 on Reed, all", Extent.FULL),
        ("#teal 1.0 on Reed, whole", Extent.FULL),
        (" ;;; teal 1.0 on Reed, some  ", Extent.CHANGED),
        ("~ teal 1.0 on Reed, half", Extent.UNKNOWN),
    ],
)
def test_the_extent_is_one_of_the_words_declared(line: str, extent: Extent) -> None:
    assert recognised(line).extent is extent


def test_several_header_lines_add_up() -> None:
    found = recognised("; knot 2.3 for Sedge-743\r\n; little is told\r\n")
    assert (found.dialect, found.matched, found.extent) == (KNOT_DIALECT, 2, Extent.CHANGED)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "teal 1.0 on Reed, all\n",
        "~ teal\n",
        "~ a teal 1.0 on Reed, all\n",
        "~ Teal 1.0 on Reed, all\n",
        "row\n" * 50,
    ],
)
def test_a_dump_of_no_dialect_is_refused_with_what_was_tried(text: str) -> None:
    with pytest.raises(Refusal) as refused:
        recognised(text)
    assert "no dialect knows this dump" in refused.value.what
    assert "teal looks for “teal {firmware.version} on {firmware.board}, {extent}”" in refused.value.what
    assert "knot looks for “knot {firmware.version} for {firmware.board}”" in refused.value.what
    assert "--dialect" in refused.value.mend
    assert refused.value.place == Place("dump.txt", 1, 1)


def test_without_dialects_there_is_nothing_to_try() -> None:
    with pytest.raises(Refusal, match="there are none"):
        recognise(dump("~ teal 1.0 on Reed, all\n"), ())


def test_a_tie_is_refused_with_both_names() -> None:
    other = compiled(TEAL.replace("dialect: teal", "dialect: wigeon"), "wigeon.yaml")
    with pytest.raises(Refusal) as refused:
        recognise(dump("~ teal 1.0 on Reed, all\n"), (TEAL_DIALECT, other))
    assert refused.value.what == "the header fits teal (teal.yaml) and wigeon (wigeon.yaml) alike"


def test_of_two_the_one_made_for_the_version_is_taken() -> None:
    later = compiled(TEAL.replace('">=1.0 <2.0"', '">=2.0"').replace("dialect: teal", "dialect: teal2"))
    both = (TEAL_DIALECT, later)
    assert recognise(dump("~ teal 1.9 on Reed, all\n"), both).dialect is TEAL_DIALECT
    assert recognise(dump("~ teal 2.0 on Reed, all\n"), both).dialect is later
    with pytest.raises(Refusal, match="alike"):
        recognise(dump("~ teal x on Reed, all\n"), both)


def test_a_dialect_is_recognised_outside_its_versions_too() -> None:
    """That the version does not fit is for the audit to say."""
    assert recognised("~ teal 9.0 on Reed, all\n").dialect is TEAL_DIALECT


def test_the_header_stands_in_the_first_lines() -> None:
    header = "~ teal 1.0 on Reed, all\n"
    assert recognised("\n" * (FIRST_LINES - 1) + header).matched == 1
    with pytest.raises(Refusal):
        recognised("\n" * FIRST_LINES + header)


def test_a_long_line_before_the_header_does_not_hide_it() -> None:
    assert recognised("~ " + "x" * 100_000 + "\n~ teal 1.0 on Reed, all\n").matched == 1


def test_a_header_of_blanks_and_commas_takes_no_time() -> None:
    line = "~ teal " + " on , " * 1_000
    begun = time.process_time()
    as_dialect(dump((line[: LONGEST_HEADER - 1] + "\n") * FIRST_LINES), TEAL_DIALECT)
    assert time.process_time() - begun < 0.25


def test_as_a_named_dialect_a_dump_without_header_is_of_unknown_extent() -> None:
    found = as_dialect(dump("row\n"), TEAL_DIALECT)
    assert (found.matched, found.extent, found.header, found.version) == (0, Extent.UNKNOWN, {}, "")


@pytest.mark.parametrize("name", ["plover", "dunlin"])
def test_the_samples_are_recognised(name: str) -> None:
    found = recognise(dump(DUMPS[name]), shipped_dialects())
    assert (found.dialect.name, found.matched, found.extent) == (name, 2, Extent.FULL)
    assert {path[1] for path in found.header} == {"name", "version", "board", "mcu", "built"}
