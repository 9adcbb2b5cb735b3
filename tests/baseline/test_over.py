"""What keeps an older baseline from being lost: odd names, and times in other zones."""

from __future__ import annotations

import os
import pathlib

import pytest

import cfgaudit
from cfgaudit.baseline.file import write_whole
from cfgaudit.baseline.git import State, state_of
from cfgaudit.baseline.guard import why_not_over
from cfgaudit.model.refusal import Refusal
from tests.baseline.repository import Repository, baseline, repository_in
from tests.cli.session import refused
from tests.house.checkout import ROOT

OTTER, WHEN = "otter/known-good.txt", "2026-06-01T10:00:00+00:00"


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Repository:
    return repository_in(tmp_path, monkeypatch)


@pytest.mark.parametrize("name", ["*", "*.txt", ":x", ":(glob)*", "[a]", "-"])
def test_a_name_is_no_pattern(here: Repository, name: str) -> None:
    here.commit({"other.txt": "x"})
    (here.home / name).write_text("mine")
    assert state_of(name) is State.UNKNOWN
    here.commit({})
    assert state_of(name) is State.KEPT
    (here.home / "other.txt").write_text("y")
    assert state_of(name) is State.KEPT
    (here.home / name).write_text("mine again")
    assert state_of(name) is State.CHANGED


@pytest.mark.parametrize("name", ["a**b.txt", "[a].txt", "*"])
def test_a_file_of_an_odd_name_is_written(tmp_path: pathlib.Path, name: str) -> None:
    write_whole(str(tmp_path / name), "one\n")
    write_whole(str(tmp_path / name), "two\n")
    assert [(file.name, file.read_text()) for file in tmp_path.iterdir()] == [(name, "two\n")]


@pytest.mark.parametrize(
    ("recorded", "now", "later"),
    [
        ("2026-05-01T10:00:00+02:00", "2026-05-01T09:00:00+00:00", False),
        ("2026-05-01T09:30:00+00:00", "2026-05-01T10:00:00+02:00", True),
        ("no time at all", "2026-05-01T10:00:00+02:00", False),
    ],
)
def test_the_later_of_two_zones(here: Repository, recorded: str, now: str, later: bool) -> None:
    text = baseline(OTTER).replace("2026-03-01T10:00:00+00:00", recorded)
    here.commit({"otter.txt": text})
    reading = cfgaudit.read_dump("otter.txt", data=text.encode())
    assert (
        any("it was recorded later" in one for one in why_not_over("otter.txt", reading, "otter", now))
        == later
    )


def test_a_link_is_as_safe_as_what_it_leads_to(here: Repository, tmp_path: pathlib.Path) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text(baseline(OTTER))
    (here.home / "otter.txt").symlink_to(kept)
    here.commit({})
    reading = cfgaudit.read_dump("otter.txt", data=kept.read_bytes())
    assert any("git does not keep it" in one for one in why_not_over("otter.txt", reading, "otter", WHEN))
    (here.home / "nowhere.txt").symlink_to(tmp_path / "not-there-yet.txt")
    assert [*why_not_over("nowhere.txt", reading, "otter", WHEN)] == []


def test_another_craft_has_a_baseline_of_its_own(here: Repository) -> None:
    here.commit({"otter.txt": baseline(OTTER)})
    reading = cfgaudit.read_dump("otter.txt", data=baseline(OTTER).encode())
    assert [*why_not_over("otter.txt", reading, "otter", WHEN)] == []
    assert [*why_not_over("otter.txt", reading, "vole", WHEN)] == ["it is the baseline of otter"]


@pytest.mark.parametrize("name", ["pipe", "folder"])
def test_what_is_no_file_is_not_replaced(tmp_path: pathlib.Path, name: str) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    reading = cfgaudit.read_dump("otter.txt", data=baseline(OTTER).encode())
    for attempt in (
        lambda path: write_whole(path, "one\n"),
        lambda path: [*why_not_over(path, reading, "otter", WHEN)],
    ):
        with pytest.raises(Refusal, match="cannot be written over"):
            attempt(str(tmp_path / name))
    assert sorted(one.name for one in tmp_path.iterdir()) == ["folder", "pipe"]
    assert not (tmp_path / "pipe").is_file()


@pytest.mark.parametrize("name", ["dump.txt", "build.yaml", "link.txt"])
def test_a_baseline_takes_the_place_of_neither_dump_nor_sheet(here: Repository, name: str) -> None:
    dump, sheet = ((ROOT / "samples" / file).read_bytes() for file in (OTTER, "otter/build.yaml"))
    here.commit({"dump.txt": dump, "build.yaml": sheet})
    (here.home / "link.txt").symlink_to("dump.txt")
    line = refused("baseline", "record", "dump.txt", "--build", "build.yaml", "--to", name, "--over")
    assert "the baseline would take the place of the " in line
    assert (here.home / "dump.txt").read_bytes() == dump
    assert (here.home / "build.yaml").read_bytes() == sheet


def test_what_is_no_baseline_is_not_written_over(here: Repository) -> None:
    here.commit({"notes.txt": "my own notes\n", "empty.txt": ""})
    reading = cfgaudit.read_dump("otter.txt", data=baseline(OTTER).encode())
    assert [*why_not_over("notes.txt", reading, "otter", WHEN)] == ["it is no baseline"]
    assert [*why_not_over("empty.txt", reading, "otter", WHEN)] == []
