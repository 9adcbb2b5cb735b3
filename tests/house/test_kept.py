"""What a run keeps for the next never changes what it says, and is kept where only the user can write."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from cfgaudit.kept import keep, kept_name, own_folder, recall
from cfgaudit.model.placed import load, load_shipped
from tests.house.checkout import ROOT

PLOVER = ROOT / "grammars" / "plover.yaml"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    own_folder.cache_clear()
    yield tmp_path / "cfgaudit"
    own_folder.cache_clear()


def test_the_second_run_has_the_same_data(home: Path) -> None:
    first, second = load_shipped(PLOVER), load_shipped(PLOVER)
    assert first.data == second.data == load(PLOVER).data
    assert second.text == ""  # not parsed again


def test_places_are_there_when_asked_for(home: Path) -> None:
    load_shipped(PLOVER)
    trail = ("forms", 0, "line")
    assert load_shipped(PLOVER).place(trail) == load(PLOVER).place(trail)


def test_a_changed_file_is_read_again(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "some.yaml"
    file.write_text("a: 1\n", "utf-8")
    assert load_shipped(file).data == {"a": 1}
    file.write_text("a: 1\nb: 2\n", "utf-8")
    assert load_shipped(file).data == {"a": 1, "b": 2}


@pytest.mark.parametrize("rubbish", [b"", b"{", b"[]", b"\xff\xfe", b'{"of": [], "data": {"a": 9}}'])
def test_rubbish_is_not_believed(home: Path, tmp_path: Path, rubbish: bytes) -> None:
    file = tmp_path / "some.yaml"
    file.write_text("a: 1\n", "utf-8")
    keep(file, ".json", {"a": 1})
    (home / kept_name(file, ".json")).write_bytes(rubbish)
    assert recall(file, ".json") is None
    assert load_shipped(file).data == {"a": 1}


@pytest.mark.skipif(os.name == "nt", reason="permissions are another matter there")
def test_a_folder_that_others_can_write_to_is_not_used(home: Path) -> None:
    home.mkdir()
    home.chmod(0o777)
    assert own_folder() is None
    assert load_shipped(PLOVER).data == load(PLOVER).data


def test_without_a_folder_everything_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file, not a folder", "utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(taken))
    own_folder.cache_clear()
    assert own_folder() is None
    assert load_shipped(PLOVER).data == load(PLOVER).data
    own_folder.cache_clear()
