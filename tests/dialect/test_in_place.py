"""A mend as changes of the dump's own lines: only where that says just the same."""

from __future__ import annotations

import cfgaudit
from cfgaudit.dialect.in_place import Replacement, in_place, replaced
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value
from tests.house.checkout import ROOT

OTTER = (ROOT / "samples/otter/after.txt").read_text("utf-8")
HERON = (ROOT / "samples/heron/known-good.txt").read_text("utf-8")
DRIVE: dict[Path, Value] = {("osd", "drive"): "displayport"}


def read(text: str | bytes) -> Reading:
    return cfgaudit.read_dump("dump.txt", data=text if isinstance(text, bytes) else text.encode("utf-8"))


def test_the_line_in_force_gets_its_new_text() -> None:
    (one,) = in_place(read(OTTER), DRIVE)
    assert one == Replacement(162, 1, 17, "screen := serial")
    assert replaced(OTTER, [one]) == OTTER.replace("screen := camera", "screen := serial")


def test_of_a_setting_that_comes_twice_the_last_line() -> None:
    twice = OTTER + "screen := camera\n"
    (one,) = in_place(read(twice), DRIVE)
    assert one.line == twice.count("\n")


def test_several_lines_in_their_order() -> None:
    wanted: dict[Path, Value] = {("osd", "rows"): 20, ("osd", "columns"): 53}
    assert [one.line for one in in_place(read(OTTER), wanted)] == [164, 165]


def test_what_no_line_says_has_no_place() -> None:
    assert in_place(read(OTTER.replace("screen := camera\n", "")), DRIVE) == ()


def test_what_cannot_be_written_has_no_place() -> None:
    assert in_place(read(OTTER), {**DRIVE, ("no", "such"): 1}) == ()
    assert in_place(read(OTTER), {}) == ()


def test_a_line_that_opens_a_scope_is_left_alone() -> None:
    """Under another opening line all those below it would say something else."""
    reading = read(OTTER)
    active = reading.model.tree["profiles"]["active"]  # type: ignore[index,call-overload]
    other: dict[Path, Value] = {("profiles", "active"): "1" if active != "1" else "2"}
    assert in_place(reading, other) == ()


def test_line_ends_that_not_all_programs_count() -> None:
    assert in_place(read(OTTER.replace("\n", "\r\n")), DRIVE)
    assert in_place(read(OTTER.replace("\n", "\r")), DRIVE) == ()
    assert in_place(read(OTTER.replace("\n", "\r", 1)), DRIVE) == ()


def test_only_utf_8_has_columns_that_all_programs_count_alike() -> None:
    assert in_place(read(OTTER.encode("utf-8") + b"~ gr\xf6\xdfe\n"), DRIVE) == ()
    assert in_place(read("\ufeff" + OTTER), DRIVE)


def test_in_a_terminal_capture_the_lines_of_the_file() -> None:
    shown = "plover> show everything\r\n" + OTTER.replace("\n", "\r\n") + "plover> "
    (one,) = in_place(read(shown), DRIVE)
    assert replaced(shown, [one]) == shown.replace("screen := camera", "screen := serial")


def test_of_sections_the_line_in_its_own() -> None:
    reading, rows = read(HERON), ("osd", "rows")
    (one,) = in_place(reading, {rows: 18})
    again = read(replaced(HERON, [one])).model.leaves
    changed = {path for path, leaf in reading.model.leaves.items() if again[path].value != leaf.value}
    assert changed == {rows}
    assert again[rows].value == 18
