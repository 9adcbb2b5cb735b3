"""A firmware that numbers its ports itself, at the command line: with the sheet, without, with half of it."""

from __future__ import annotations

import pathlib

import pytest

from tests.cli.session import refused, run
from tests.house.checkout import ROOT

VOLE = ROOT / "samples" / "vole"
SHEET, GOOD, CHANGED, FAULTY = (
    VOLE / name for name in ("build.yaml", "known-good.txt", "changed-only.txt", "faulty.txt")
)


def test_two_ports_with_one_number_are_refused(tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    text = SHEET.read_text("utf-8")
    sheet.write_text(text.replace("{number: 4,", "{number: 3,"), "utf-8")
    assert refused("audit", GOOD, "--build", sheet) == (
        f"{sheet}:14:23: board.ports: UART2 has the number 3, as UART4 has; correct one of them"
    )


@pytest.mark.parametrize("number", ["-1", "x", "3.5", "100", "[3]"])
def test_what_is_no_number_is_refused(number: str, tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    sheet.write_text(SHEET.read_text("utf-8").replace("{number: 4,", f"{{number: {number},"), "utf-8")
    line = refused("audit", GOOD, "--build", sheet)
    assert line.startswith(f"{sheet}:14:23: ")
    assert "number" in line


def test_what_is_not_judged_says_where_to_write_the_number(tmp_path: pathlib.Path) -> None:
    sheet = tmp_path / "build.yaml"
    sheet.write_text(SHEET.read_text("utf-8").replace("{number: 3, ", "{"), "utf-8")
    outcome = run("audit", GOOD, "--build", sheet, "--not-judged")
    assert outcome.code == 0
    said = f"the build sheet does not declare board.ports.UART4.number; write it at {sheet}:13:14"
    assert " ".join(outcome.out.split()).count(said) == 12


def test_a_comparison_names_the_board_s_ports() -> None:
    with_sheet = run("diff", GOOD, FAULTY, "--build", SHEET)
    assert (with_sheet.code, with_sheet.err) == (1, "")
    assert "vtx-control   moved from UART4 to UART2, beside esc-telemetry" in with_sheet.out
    plain = run("diff", GOOD, FAULTY)
    assert plain.code == 1
    assert "vtx-control   moved from PORT3 to PORT4, beside esc-telemetry" in plain.out


@pytest.mark.parametrize("more", [(), ("--build", SHEET)])
def test_a_dump_of_changes_only_says_the_same(more: tuple[str | pathlib.Path, ...]) -> None:
    outcome = run("diff", GOOD, CHANGED, *more)
    assert outcome.code == 0
    assert "no changes" in outcome.out


def test_a_sheet_that_is_none_is_refused_by_diff(tmp_path: pathlib.Path) -> None:
    line = refused("diff", GOOD, FAULTY, "--build", tmp_path / "none.yaml")
    assert str(tmp_path / "none.yaml") in line


def test_private_values_of_the_vole_stay_private() -> None:
    before = GOOD.read_text("utf-8").replace("Wren Alder", "Ash Teal").encode()
    outcome = run("diff", "-", GOOD, stdin=before)
    assert outcome.code == 1
    assert "pilot name" in outcome.out
    assert not {"Wren", "Alder", "Ash", "Teal"} & {*outcome.out.split()}
