"""Mixer matrices: whether their rows can steer the craft at all, and how evenly.

The matrix has a column for each motor and four rows: lift, roll, pitch, yaw. Its rank is how many of
them can be chosen freely; its condition is how much weaker the weakest is than the strongest.
Source: linear algebra; the singular values are the roots of the eigenvalues of M × Mᵀ, found by
Jacobi's rotations.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from cfgaudit.derive.mixer.frame import Row

AXES = ("lift", "roll", "pitch", "yaw")
LEAST = 1e-3  # a singular value below this share of the largest is none: settings are hundredths

Matrix = list[list[float]]


def singular_values(rows: Sequence[Row]) -> tuple[float, ...]:
    """The four singular values of the motors' matrix, the largest first."""
    columns = [(row.lift, row.roll, row.pitch, row.yaw) for row in rows]
    gram = [[sum(one[i] * one[j] for one in columns) for j in range(4)] for i in range(4)]
    return tuple(sorted((math.sqrt(max(0.0, value)) for value in _eigenvalues(gram)), reverse=True))


def rank(rows: Sequence[Row]) -> int:
    """How many of lift, roll, pitch and yaw can be chosen freely: 4 if the craft can be steered."""
    values = singular_values(rows)
    return sum(value > LEAST * values[0] for value in values) if values[0] else 0


def condition(rows: Sequence[Row]) -> float:
    """The largest singular value over the smallest; infinite where the rank is below 4."""
    values = singular_values(rows)
    return values[0] / values[-1] if values[-1] > LEAST * values[0] else math.inf


def sums(rows: Sequence[Row]) -> tuple[float, float, float]:
    """Roll, pitch and yaw with all motors at the same throttle: all nothing on a craft in balance."""
    return sum(r.roll for r in rows), sum(r.pitch for r in rows), sum(r.yaw for r in rows)


def _eigenvalues(symmetric: Matrix) -> list[float]:
    """Eigenvalues of a symmetric matrix, by rotating its largest off-diagonal element away in turn."""
    a = [[*row] for row in symmetric]
    size = len(a)
    for _ in range(60 * size):
        p, q = max(((i, j) for i in range(size) for j in range(i)), key=lambda at: abs(a[at[0]][at[1]]))
        if abs(a[p][q]) < 1e-12 * max(1.0, max(abs(a[i][i]) for i in range(size))):
            break
        angle = math.atan2(2 * a[p][q], a[q][q] - a[p][p]) / 2
        c, s = math.cos(angle), math.sin(angle)
        for k in range(size):
            a[k][p], a[k][q] = c * a[k][p] - s * a[k][q], s * a[k][p] + c * a[k][q]
        for k in range(size):
            a[p][k], a[q][k] = c * a[p][k] - s * a[q][k], s * a[p][k] + c * a[q][k]
    return [a[i][i] for i in range(size)]
