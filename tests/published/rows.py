"""Reads the fact files beside it: a remark line that names the source, then plain CSV."""

from __future__ import annotations

import csv
import pathlib

FACTS = pathlib.Path(__file__).parent / "facts"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one fact file; a file that does not name its source is no fact."""
    source, *lines = (FACTS / f"{name}.csv").read_text("utf-8").splitlines()
    assert source.startswith("# "), f"{name}.csv names no source"
    found = list(csv.DictReader(lines))
    assert found, f"{name}.csv has no rows"
    return found
