"""Grammars and rules are found in a checkout and in an installation."""

from __future__ import annotations

import os
import pathlib
import subprocess
import sys
import tarfile
import zipfile

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

from cfgaudit.shipped import shipped
from tests.house.checkout import ROOT

FOLDERS = ("grammars", "rules")


def files_of(folder: str) -> set[str]:
    """What must travel with the package, relative to the folder."""
    root = ROOT / folder
    found = {str(file.relative_to(root)) for file in root.rglob("*") if file.is_file()}
    assert found, f"{folder} is empty"
    return found


def wheel_of(root: pathlib.Path, into: pathlib.Path) -> pathlib.Path:
    """Builds in this process: no network, no isolated environment."""
    (wheel,) = WheelBuilder(str(root)).build(directory=str(into), versions=["standard"])
    return pathlib.Path(wheel)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    return wheel_of(ROOT, tmp_path_factory.mktemp("wheel"))


@pytest.mark.parametrize("folder", FOLDERS)
def test_beside_the_package_in_a_checkout(folder: str) -> None:
    assert shipped(folder) == ROOT / folder


@pytest.mark.parametrize("folder", FOLDERS)
def test_inside_the_package_when_installed(folder: str, tmp_path: pathlib.Path) -> None:
    inside = tmp_path / "cfgaudit" / folder
    inside.mkdir(parents=True)
    (tmp_path / folder).mkdir()
    assert shipped(folder, package=tmp_path / "cfgaudit") == inside


@pytest.mark.parametrize("folder", FOLDERS)
def test_wheel_carries_the_folder(folder: str, wheel: pathlib.Path) -> None:
    prefix = f"cfgaudit/{folder}/"
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.removeprefix(prefix) for name in names if name.startswith(prefix)} == files_of(folder)


def test_wheel_carries_the_package_and_nothing_else(wheel: pathlib.Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.partition("/")[0] for name in names} == {"cfgaudit", "cfgaudit-0.1.0.dist-info"}
    assert "cfgaudit/py.typed" in names
    assert {"cfgaudit-0.1.0.dist-info/licenses/LICENSE"} <= set(names)


def test_installed_package_finds_its_own(wheel: pathlib.Path, tmp_path: pathlib.Path) -> None:
    zipfile.ZipFile(wheel).extractall(tmp_path)
    ask = "from cfgaudit.shipped import shipped; print(shipped('grammars'), shipped('rules'), sep='\\n')"
    done = subprocess.run(
        [sys.executable, "-c", ask],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines() == [str(tmp_path / "cfgaudit" / folder) for folder in FOLDERS]


def test_sdist_builds_the_same_wheel(wheel: pathlib.Path, tmp_path: pathlib.Path) -> None:
    (sdist,) = SdistBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with tarfile.open(sdist) as packed:
        # the first releases of Python 3.11 have no filters; the archive is our own
        packed.extraction_filter = getattr(tarfile, "data_filter", None)
        packed.extractall(tmp_path)
    again = wheel_of(tmp_path / "cfgaudit-0.1.0", tmp_path)
    assert sorted(zipfile.ZipFile(again).namelist()) == sorted(zipfile.ZipFile(wheel).namelist())
