"""What a run keeps for the next one changes nothing, whatever has become of it."""

from __future__ import annotations

import pathlib
from collections.abc import Callable

import pytest

from tests.cli.session import AFTER, BEFORE, SHEET, process, run
from tests.house.checkout import ROOT

DIFF = ("diff", BEFORE, AFTER)


def emptied(file: pathlib.Path) -> None:
    file.write_bytes(b"")


def cut(file: pathlib.Path) -> None:
    file.write_bytes(file.read_bytes()[:-20])


def garbled(file: pathlib.Path) -> None:
    file.write_bytes(b"\x80\x04\x1b[2J" * 99)


def deep(file: pathlib.Path) -> None:
    file.write_bytes(b"[" * 200_000)


def foldered(file: pathlib.Path) -> None:
    file.unlink()
    file.mkdir()


def said_with(folder: str | pathlib.Path, cwd: pathlib.Path = ROOT) -> str:
    arguments = [str(ROOT / one) if "/" in one else one for one in DIFF] if cwd != ROOT else DIFF
    done = process(*arguments, cwd=cwd, env={"XDG_CACHE_HOME": str(folder)})
    assert (done.returncode, done.stderr) == (1, b"")
    return done.stdout.decode("utf-8")


def test_what_is_kept_may_be_spoilt(tmp_path: pathlib.Path) -> None:
    right = run(*DIFF).out
    assert said_with(tmp_path) == right
    spoil: list[Callable[[pathlib.Path], None]] = [emptied, cut, garbled, deep, foldered]
    for one in spoil:
        for file in (tmp_path / "cfgaudit").iterdir():
            if file.is_file():
                one(file)
        assert said_with(tmp_path) == right


@pytest.mark.parametrize("kind", ["a file", "nowhere to write"])
def test_there_may_be_no_folder(kind: str, tmp_path: pathlib.Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"")
    assert said_with(file if kind == "a file" else "/dev/null/none") == run(*DIFF).out
    assert file.read_bytes() == b""


def test_nothing_is_left_where_somebody_works(tmp_path: pathlib.Path) -> None:
    said_with("kept", cwd=tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_sheet_is_checked_again_once_it_has_changed(tmp_path: pathlib.Path) -> None:
    """What is kept of an accepted sheet is a digest: it says nothing, and stands for that text alone."""
    sheet, env = tmp_path / "build.yaml", {"XDG_CACHE_HOME": str(tmp_path / "kept")}
    sound = (ROOT / SHEET).read_text("utf-8")
    wrong = sound.replace("craft: otter", "craft: otter\nwings: 2")

    def audited(text: str) -> tuple[int, bytes]:
        sheet.write_text(text, "utf-8")
        done = process("audit", AFTER, "--build", str(sheet), env=env)
        return done.returncode, done.stderr

    assert [audited(sound) for _ in range(3)] == [(1, b"")] * 3
    code, said = audited(wrong)
    assert (code, said.count(b"\n")) == (2, 1)
    assert b"wings" in said
    assert audited(wrong) == (code, said)
    assert audited(sound) == (1, b"")
    kept = (tmp_path / "kept" / "cfgaudit" / "accepted.digests").read_text("ascii").split()
    assert len(kept) == len(set(kept))
    assert all(len(one) == 64 and int(one, 16) for one in kept)
    for spoil in (emptied, cut, garbled, foldered):
        file = tmp_path / "kept" / "cfgaudit" / "accepted.digests"
        spoil(file)
        assert audited(sound) == (1, b"")
        assert audited(wrong) == (code, said)
