"""What counts as a difference: what a configuration says, not how its file is laid out."""

from __future__ import annotations

import json
import pathlib
import random
import re
from typing import Any

import pytest

from tests.cli.session import AFTER, BEFORE, HERON, KNOWN_GOOD, run
from tests.house.checkout import ROOT

DUMPS = [AFTER, BEFORE, KNOWN_GOOD, HERON]
HEADER = 2  # lines of a sample's header


def lines_of(dump: str) -> list[str]:
    return (ROOT / dump).read_text("utf-8").splitlines()


def opens(line: str) -> bool:
    """Whether the lines after this one belong to it."""
    return bool(re.fullmatch(r"(tune|feel) \d|\[.+\]", line))


def scopes(lines: list[str]) -> list[list[str]]:
    """A dump in its scopes: the lines that open them stand first."""
    parts: list[list[str]] = [[]]
    for line in lines:
        if opens(line):
            parts.append([])
        parts[-1].append(line)
    return parts


def shuffled(dump: str, seed: int) -> list[str]:
    """A dump with the lines of each scope in another order, its header and its selectors in place."""
    chance = random.Random(seed)
    made = []
    for part in scopes(lines_of(dump)):
        fixed = 1 if opens(part[0]) else HEADER
        rest = part[fixed:]
        chance.shuffle(rest)
        made += [*part[:fixed], *rest]
    return made


def changes(before: str | pathlib.Path, after: str | pathlib.Path) -> list[Any]:
    outcome = run("diff", before, after, "--format", "json")
    found: list[Any] = json.loads(outcome.out)["changes"]
    assert outcome.code == (1 if found else 0)
    return found


def written(lines: list[str], file: pathlib.Path, end: str = "\n") -> pathlib.Path:
    file.write_bytes((end.join(lines) + end).encode())
    return file


@pytest.mark.parametrize("dump", DUMPS)
def test_nothing_differs_from_itself(dump: str) -> None:
    outcome = run("diff", dump, dump)
    assert (outcome.code, outcome.err) == (0, "")
    assert "no changes" in outcome.out


@pytest.mark.parametrize("dump", DUMPS)
@pytest.mark.parametrize("seed", range(3))
def test_order_within_a_scope_says_nothing(dump: str, seed: int, tmp_path: pathlib.Path) -> None:
    other = shuffled(dump, seed)
    assert other != lines_of(dump)
    assert changes(dump, written(other, tmp_path / "other.txt")) == []


@pytest.mark.parametrize("seed", range(3))
def test_order_of_sections_says_nothing(seed: int, tmp_path: pathlib.Path) -> None:
    first, *others = scopes(lines_of(HERON))
    random.Random(seed).shuffle(others)
    other = [line for part in [first, *others] for line in part]
    assert changes(HERON, written(other, tmp_path / "other.txt")) == []


def test_blanks_remarks_and_line_ends_say_nothing(tmp_path: pathlib.Path) -> None:
    sign = {AFTER: "~", HERON: ";"}
    for dump in (AFTER, HERON):
        bare = [line for n, line in enumerate(lines_of(dump)) if n < HEADER or (line and line[0] not in "~;")]
        noisy = [bit for line in lines_of(dump) for bit in (line, "", f"{sign[dump]} a remark")]
        assert changes(dump, written(bare, tmp_path / "bare.txt", "\r\n")) == []
        assert changes(dump, written(noisy, tmp_path / "noisy.txt")) == []
        spaced = [f"  {line}\t" if not opens(line) else line for line in lines_of(dump)]
        assert changes(dump, written(spaced, tmp_path / "spaced.txt")) == []


def test_of_a_repeated_line_the_last_one_counts(tmp_path: pathlib.Path) -> None:
    lines = lines_of(AFTER)
    at = lines.index("screen := camera")
    last = [*lines[: at + 1], "screen := serial", *lines[at + 1 :]]
    first = [*lines[:at], "screen := serial", *lines[at:]]
    (change,) = changes(AFTER, written(last, tmp_path / "last.txt"))
    assert "osd.drive" in change["paths"]
    assert changes(AFTER, written(first, tmp_path / "first.txt")) == []
    assert changes(tmp_path / "first.txt", tmp_path / "last.txt") != []


def test_a_line_counts_for_the_selector_above_it(tmp_path: pathlib.Path) -> None:
    lines = lines_of(AFTER)
    at = next(n for n, line in enumerate(lines) if line.startswith("tune.feel"))
    moved = [*lines[:at], *lines[at + 1 :]]
    opening = moved.index("tune 2")
    moved.insert(opening + 1, "tune.feel := 9")
    moved.insert(opening + 1, lines[at])
    assert changes(AFTER, written(moved, tmp_path / "moved.txt")) != []
    swapped = ["tune 2" if line == "tune 1" else "tune 1" if line == "tune 2" else line for line in lines]
    assert changes(AFTER, written(swapped, tmp_path / "swapped.txt")) != []


def test_the_last_selector_says_what_is_in_use(tmp_path: pathlib.Path) -> None:
    lines = lines_of(AFTER)
    assert lines[-1] == "tune 1"
    (change,) = changes(AFTER, written([*lines, "tune 2"], tmp_path / "other.txt"))
    assert change["paths"] == ["profiles.active"]


def test_a_line_counts_for_the_section_above_it(tmp_path: pathlib.Path) -> None:
    swap = {"[link B]": "[link C]", "[link C]": "[link B]"}
    swapped = [swap.get(line, line) for line in lines_of(HERON)]
    found = changes(HERON, written(swapped, tmp_path / "swapped.txt"))
    assert any(path.startswith("ports.UART1") for one in found for path in one["paths"])


def test_there_and_back_have_the_same_paths() -> None:
    there, back = changes(BEFORE, AFTER), changes(AFTER, BEFORE)
    assert sorted(path for one in there for path in one["paths"]) == sorted(
        path for one in back for path in one["paths"]
    )
