"""Compares a report with the text that is kept of it, in the folder ``snapshots`` beside the tests.

When a report is meant to read differently, renew the files and look at what changed in them:

    RENEW_SNAPSHOTS=1 pytest tests/report tests/cli; git diff tests

A run that renews anything fails, so that no check passes because it wrote its own answer.
"""

from __future__ import annotations

import os
import pathlib

import pytest

FOLDER = pathlib.Path(__file__).parent / "snapshots"


def assert_as_kept(name: str, text: str, folder: pathlib.Path = FOLDER) -> None:
    """The text is, to the letter, what the file of this name holds."""
    file = folder / name
    kept = file.read_bytes().decode("utf-8") if file.exists() else ""
    if text != kept and os.environ.get("RENEW_SNAPSHOTS"):
        file.write_bytes(text.encode("utf-8"))
        pytest.fail(f"{file.name} was renewed: read the difference, then run again without RENEW_SNAPSHOTS")
    assert text == kept, f"{file.name} differs; tests/report/snapshot.py says how to renew it"
