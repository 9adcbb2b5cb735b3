"""Mixers against published matrices and reference libraries.

Sources: facts/mixer_signs_frd.csv (rigid-body statics); facts/mixing_published.csv (drone-models 0.1.0);
facts/quad_x_allocation.csv (the allocation rule of rotorpy 3.0.0); numpy's singular values.
"""

from __future__ import annotations

import math
from random import Random

import numpy
import pytest

from cfgaudit.derive.mixer.frame import Row, duty, place_of
from cfgaudit.derive.mixer.matrix import condition, rank, singular_values
from tests.published.rows import rows

PLACES = {
    "quad_x": ("quad-x", {"FR": "front right", "RR": "rear right", "FL": "front left", "RL": "rear left"}),
    "quad_plus": ("quad-plus", {"F": "front", "R": "right", "B": "rear", "L": "left"}),
    "hex_x": (
        "hexa-x",
        {
            "h30": "front right", "h90": "right", "h150": "rear right",
            "h210": "rear left", "h270": "left", "h330": "front left",
        },
    ),
}  # fmt: skip
SPINS = {"CCW": "counter-clockwise", "CW": "clockwise"}
# The file signs what is left of a zero by the last bit of its arithmetic.
NOISE = {"h90": "pitch", "h270": "pitch"}


def sign(value: float) -> int:
    return 0 if abs(value) < 1e-9 else 1 if value > 0 else -1


@pytest.mark.parametrize("row", rows("mixer_signs_frd"), ids=lambda row: f"{row['frame']}-{row['motor']}")
def test_signs_by_place_and_spin(row: dict[str, str]) -> None:
    layout, words = PLACES[row["frame"]]
    x, y = place_of(layout, words[row["motor"]])
    assert (x, y) == pytest.approx((float(row["x"]), float(row["y"])), abs=1e-6)
    own = duty(x, y, SPINS[row["spin_from_above"]])
    for axis in ("roll", "pitch", "yaw"):
        if NOISE.get(row["motor"]) != axis:
            assert sign(getattr(own, axis)) == int(row[axis]), axis


def test_a_published_mixing_matrix() -> None:
    """x forward, y left, z up there: pitch and yaw have the other sign here."""
    spins = {"FR": "CCW", "RR": "CW", "RL": "CCW", "FL": "CW"}
    for row in rows("mixing_published"):
        place = row["position"]
        own = duty(*place_of("quad-x", PLACES["quad_x"][1][place]), SPINS[spins[place]])
        published = (int(row["roll"]), -int(row["pitch"]), -int(row["yaw"]))
        assert (sign(own.roll), sign(own.pitch), sign(own.yaw)) == published


def test_a_published_allocation() -> None:
    """x forward, y left, z up; the direction is that of the torque on the craft, against the spin."""
    for row in rows("quad_x_allocation"):
        x, y, turn = float(row["x"]), float(row["y"]), int(row["yaw_torque_dir"])
        own = duty(x, -y, "clockwise" if turn > 0 else "counter-clockwise")
        assert sign(own.lift) == int(row["sign_thrust"])
        assert sign(own.roll) == int(row["sign_roll"])
        assert -sign(own.pitch) == int(row["sign_pitch"])
        assert -sign(own.yaw) == int(row["sign_yaw"])


@pytest.mark.parametrize("seed", range(60))
def test_singular_values_by_the_reference_library(seed: int) -> None:
    dice = Random(seed)
    shares = [[dice.choice((-1, -0.5, 0, 0.5, 1)) for _ in range(3)] for _ in range(dice.randint(1, 8))]
    if seed % 3 == 0:  # a mixer that cannot steer: yaw follows roll
        shares = [[roll, pitch, roll] for roll, pitch, _ in shares]
    motors = [Row(1.0, *one) for one in shares]
    matrix = numpy.array([[1.0, *one] for one in shares]).T
    truth = numpy.linalg.svd(matrix, compute_uv=False)
    assert singular_values(motors)[: len(truth)] == pytest.approx(truth, abs=1e-6)
    assert rank(motors) == numpy.linalg.matrix_rank(matrix, tol=1e-3 * truth[0])
    if rank(motors) == 4:
        assert condition(motors) == pytest.approx(numpy.linalg.cond(matrix), rel=1e-6)
    else:
        assert math.isinf(condition(motors))
