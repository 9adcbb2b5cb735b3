"""Figures about alignment: section ``alignment`` of what rules see as ``derived``.

::

    set                 the board's rotation as the dump has it: roll_deg, pitch_deg, yaw_deg
    mounted             as the build sheet has it
    apart_deg           the angle between the two: 0 if they are the same rotation, however written
"""

from __future__ import annotations

from cfgaudit.derive.alignment.rotation import Angles, apart_deg
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, told

KEYS = ("roll_deg", "pitch_deg", "yaw_deg")


def alignment(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    as_set, mounted = set_angles(model), mounted_angles(build)
    missing = next((one for one in (as_set, mounted) if isinstance(one, Missing)), None)
    apart: Figure = missing
    if isinstance(as_set, Angles) and isinstance(mounted, Angles):
        apart = round(apart_deg(as_set.matrix, mounted.matrix), 2)
    return {
        "set": _told(as_set),
        "mounted": _told(mounted),
        "apart_deg": apart,
    }


def set_angles(model: Tree) -> Angles | Missing:
    """The board's rotation in the dump."""
    angles = {key: told(model, "sensors", "alignment", key) for key in KEYS}
    for key, angle in angles.items():
        if not isinstance(angle, int | float):
            return Missing((f"model.sensors.alignment.{key}",))
    return Angles(*(float(angle) for angle in angles.values() if isinstance(angle, int | float)))


def mounted_angles(build: Tree) -> Angles | Missing:
    """The board's rotation on the frame; angles that the sheet leaves out are 0, if it has any."""
    if told(build, "board", "mounted") is None:
        return Missing(("build.board.mounted",))
    mounted = branch(build, "board", "mounted")
    angles = (mounted.get(key, 0) for key in KEYS)
    return Angles(*(float(angle) for angle in angles if isinstance(angle, int | float)))


def _told(angles: Angles | Missing) -> Figure:
    if isinstance(angles, Missing):
        return angles
    return {"roll_deg": angles.roll_deg, "pitch_deg": angles.pitch_deg, "yaw_deg": angles.yaw_deg}
