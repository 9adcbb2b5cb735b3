"""Rotations of board and sensors against a reference library.

Sources: facts/sensor_alignment.csv and scipy.spatial.transform.Rotation.
"""

from __future__ import annotations

import math
from random import Random

import numpy
import pytest
from scipy.spatial.transform import Rotation

from cfgaudit.derive.alignment.rotation import (
    Angles,
    Matrix,
    angles_of,
    apart_deg,
    composed,
    crookedness,
    determinant,
)
from tests.published.rows import rows


@pytest.mark.parametrize("row", rows("sensor_alignment"), ids=lambda row: row["name"])
def test_published_rotations(row: dict[str, str]) -> None:
    matrix = Angles(float(row["roll"]), float(row["pitch"]), float(row["yaw"])).matrix
    for i in range(3):
        for j in range(3):
            assert matrix[i][j] == pytest.approx(float(row[f"r{i}{j}"]), abs=1e-8)
    assert determinant(matrix) == pytest.approx(float(row["det"]))
    assert crookedness(matrix) < 1e-12


@pytest.mark.parametrize("seed", range(40))
def test_rotations_by_the_reference_library(seed: int) -> None:
    dice = Random(seed)
    ours = [Angles(*(dice.randint(-360, 360) for _ in range(3))) for _ in range(2)]
    theirs = [
        Rotation.from_euler("ZYX", (one.yaw_deg, one.pitch_deg, one.roll_deg), degrees=True) for one in ours
    ]
    for own, true in zip(ours, theirs, strict=True):
        assert numpy.allclose(own.matrix, true.as_matrix())
    both = theirs[0] * theirs[1]
    assert numpy.allclose(composed(ours[0].matrix, ours[1].matrix), both.as_matrix())
    between = (theirs[0].inv() * theirs[1]).magnitude()
    assert apart_deg(ours[0].matrix, ours[1].matrix) == pytest.approx(math.degrees(between), abs=1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_angles_back_from_a_rotation_by_the_reference_library(seed: int) -> None:
    dice = Random(seed)
    quarters = seed % 2 == 0  # parts are mounted by quarter turns more often than not
    turns = [dice.choice((0, 90, 180, 270)) if quarters else dice.uniform(-180, 180) for _ in range(3)]
    true = Rotation.from_euler("ZYX", turns, degrees=True)
    matrix: Matrix = tuple(tuple(map(float, row)) for row in true.as_matrix())  # type: ignore[assignment]
    back = angles_of(matrix)
    again = Rotation.from_euler("ZYX", (back.yaw_deg, back.pitch_deg, back.roll_deg), degrees=True)
    assert math.degrees((true.inv() * again).magnitude()) == pytest.approx(0, abs=1e-5)
    assert -90 <= back.pitch_deg <= 90


def test_a_mirror_is_no_rotation() -> None:
    mirror = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
    assert determinant(mirror) == -1
    assert crookedness(((1.0, 0.1, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))) > 0.05
