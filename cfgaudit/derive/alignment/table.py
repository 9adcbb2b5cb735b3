"""Alignment with its sums."""

from __future__ import annotations

from cfgaudit.derive.alignment.rotation import Angles, apart_deg, crookedness, determinant
from cfgaudit.derive.alignment.section import mounted_angles, set_angles
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree

_ROTATION = "R = Rz(yaw) × Ry(pitch) × Rx(roll); x forward, y right, z down"
_RULES = ("sensor/board-alignment",)


def table(model: Tree, build: Tree) -> Table:
    """The board's rotation as set, as mounted, and the angle between the two."""
    as_set, mounted = set_angles(model), mounted_angles(build)
    gap = next((one for one in (as_set, mounted) if isinstance(one, Missing)), None)
    rows = [
        Quantity(
            "board", what, angles if isinstance(angles, Missing) else _said(angles), "°", sum, source, _RULES
        )
        for what, angles, sum, source in (
            ("roll, pitch, yaw as set", as_set, _sum(as_set), _ROTATION),
            ("roll, pitch, yaw as mounted", mounted, "declared in the build sheet", ""),
        )
    ]
    apart: float | Missing = gap or 0.0
    if isinstance(as_set, Angles) and isinstance(mounted, Angles):
        apart = round(apart_deg(as_set.matrix, mounted.matrix), 2)
    rows.append(
        Quantity(
            "board", "angle between the two", apart, "°", "acos((trace(Rₛᵀ × Rₘ) − 1) ÷ 2)", _ROTATION, _RULES
        )
    )
    return Table("alignment", "how the board is mounted, and what the firmware believes", tuple(rows))


def _said(angles: Angles) -> str:
    return f"{angles.roll_deg:g}, {angles.pitch_deg:g}, {angles.yaw_deg:g}"


def _sum(angles: Angles | Missing) -> str:
    if isinstance(angles, Missing):
        return ""
    matrix = angles.matrix
    square = "square" if crookedness(matrix) < 1e-9 else "not square"
    return f"determinant {figure(round(determinant(matrix), 9))}, axes {square}"
