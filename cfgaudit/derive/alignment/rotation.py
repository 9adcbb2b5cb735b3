"""Rotations: from roll, pitch and yaw to a matrix, and how far two of them are apart.

A vector of the sensor becomes one of the craft by R = Rz(yaw) × Ry(pitch) × Rx(roll): turns about the
axes as they move along, yaw first. Axes: x forward, y right, z down, so that yaw is clockwise seen from
above. Source: the definition of intrinsic z-y-x angles, as scipy.spatial.transform.Rotation has it.
"""

from __future__ import annotations

import math

from msgspec import Struct

Matrix = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


class Angles(Struct, frozen=True):
    """Roll, pitch and yaw in degrees; any number of whole turns more is the same rotation."""

    roll_deg: float = 0
    pitch_deg: float = 0
    yaw_deg: float = 0

    @property
    def matrix(self) -> Matrix:
        """The rotation's matrix."""
        (sr, cr), (sp, cp), (sy, cy) = (
            (math.sin(math.radians(one)), math.cos(math.radians(one)))
            for one in (self.roll_deg, self.pitch_deg, self.yaw_deg)
        )
        return (
            (cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr),
            (sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr),
            (-sp, cp * sr, cp * cr),
        )


def angles_of(matrix: Matrix) -> Angles:
    """The roll, pitch and yaw of a rotation; nose straight up or down, roll is none and yaw all of it."""
    sine = max(-1.0, min(1.0, -matrix[2][0]))
    if abs(sine) > 1 - 1e-9:
        yaw = math.atan2(-matrix[0][1], matrix[1][1])
        return Angles(0.0, math.degrees(math.asin(sine)), math.degrees(yaw))
    roll, yaw = math.atan2(matrix[2][1], matrix[2][2]), math.atan2(matrix[1][0], matrix[0][0])
    return Angles(math.degrees(roll), math.degrees(math.asin(sine)), math.degrees(yaw))


def composed(outer: Matrix, inner: Matrix) -> Matrix:
    """First the inner rotation, then the outer one: a sensor on a board on a frame."""
    rows = [[sum(outer[i][k] * inner[k][j] for k in range(3)) for j in range(3)] for i in range(3)]
    (a, b, c) = (tuple(row) for row in rows)
    return a, b, c  # type: ignore[return-value]  # three of three each


def turned_back(matrix: Matrix) -> Matrix:
    """The rotation the other way: the transpose."""
    (a, b, c) = zip(*matrix, strict=True)
    return a, b, c


def apart_deg(one: Matrix, other: Matrix) -> float:
    """The angle of the one turn that leads from one rotation to the other, 0 to 180 degrees."""
    between = composed(turned_back(one), other)
    cosine = (between[0][0] + between[1][1] + between[2][2] - 1) / 2
    # near 0 and 180 the arc cosine is blunt; the sine from the antisymmetric part is not
    sine = math.hypot(
        between[2][1] - between[1][2], between[0][2] - between[2][0], between[1][0] - between[0][1]
    )
    return math.degrees(math.atan2(sine / 2, cosine))


def determinant(matrix: Matrix) -> float:
    """1 for a rotation, -1 for a mirror image, which no mounting makes."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


def crookedness(matrix: Matrix) -> float:
    """How far the largest element of M × Mᵀ is from that of a rotation: 0 if its axes stand square."""
    square = composed(matrix, turned_back(matrix))
    return max(abs(square[i][j] - (i == j)) for i in range(3) for j in range(3))
