"""Alignment with its sums."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.alignment.rotation import Angles, crookedness, determinant
from cfgaudit.derive.alignment.section import (
    OF_SENSORS,
    apart,
    mounted_angles,
    mounted_on,
    sensors,
    set_angles,
    together,
)
from cfgaudit.derive.missing import Missing
from cfgaudit.derive.quantity import Quantity, Table, figure
from cfgaudit.derive.tree import Tree, word

_ROTATION = "R = Rz(yaw) × Ry(pitch) × Rx(roll); x forward, y right, z down"
_DECLARED = "declared in the build sheet"


def table(model: Tree, build: Tree) -> Table:
    """Board and sensors: each rotation as set, as mounted, and the angle between the two."""
    rows = [*_rows("board", set_angles(model), mounted_angles(build), "sensor/board-alignment")]
    for index, device in sensors(build):
        on_board = set_angles(model, OF_SENSORS[word(device, "kind")])
        mounted = mounted_on(device, f"build.devices.{index}.mounted")
        name = word(device, "name") or word(device, "kind")
        rows += _rows(name, together(set_angles(model), on_board), mounted, "sensor/alignment", on_board)
    title = "how board and sensors are mounted, and what the firmware believes"
    return Table("alignment", title, tuple(rows))


def _rows(
    name: str,
    as_set: Angles | Missing,
    mounted: Angles | Missing,
    rule: str,
    on_board: Angles | Missing | None = None,
) -> Iterator[Quantity]:
    """``on_board``: the part of it that is a sensor's own, against the board."""
    what, sum = "roll, pitch, yaw as set", _sum(as_set)
    if on_board is not None:
        what += ", with the board's"
        sum = f"the board's rotation, then {_said(on_board)} on it; {sum}"
    yield Quantity(name, what, _value(as_set), "°", sum, _ROTATION, (rule,))
    yield Quantity(name, "roll, pitch, yaw as mounted", _value(mounted), "°", _DECLARED, "", (rule,))
    between = "acos((trace(Rₛᵀ × Rₘ) − 1) ÷ 2)"
    yield Quantity(name, "angle between the two", apart(as_set, mounted), "°", between, _ROTATION, (rule,))


def _value(angles: Angles | Missing) -> str | Missing:
    return angles if isinstance(angles, Missing) else _said(angles)


def _said(angles: Angles | Missing) -> str:
    if isinstance(angles, Missing):
        return ""
    return ", ".join(
        f"{round(one, 2) + 0.0:g}" for one in (angles.roll_deg, angles.pitch_deg, angles.yaw_deg)
    )


def _sum(angles: Angles | Missing) -> str:
    if isinstance(angles, Missing):
        return ""
    matrix = angles.matrix
    square = "square" if crookedness(matrix) < 1e-9 else "not square"
    return f"determinant {figure(round(determinant(matrix), 9))}, axes {square}"
