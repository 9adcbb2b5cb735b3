"""Figures about alignment: section ``alignment`` of what rules see as ``derived``.

::

    set                 the board's rotation as the dump has it: roll_deg, pitch_deg, yaw_deg
    mounted             as the build sheet has it
    apart_deg           the angle between the two: 0 if they are the same rotation, however written
    sensor.N            every magnetometer of its own, by its place in the sheet's list of devices:
      name
      set               its rotation against the board as the dump has it
      mounted           its rotation on the frame, as the build sheet has it
      to_set            what its rotation against the board is, by how both are mounted
      apart_deg         the angle between it by the dump, board and sensor together, and as mounted
"""

from __future__ import annotations

from cfgaudit.derive.alignment.rotation import Angles, angles_of, apart_deg, composed, turned_back
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, entries, told, word

KEYS = ("roll_deg", "pitch_deg", "yaw_deg")
OF_SENSORS = {"magnetometer": "magnetometer_alignment"}  # kind of device → where the model has its rotation


def alignment(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    as_set, mounted = set_angles(model), mounted_angles(build)
    return {
        "set": _told(as_set),
        "mounted": _told(mounted),
        "apart_deg": apart(as_set, mounted),
        "sensor": _sensors(model, build),
    }


def sensors(build: Tree) -> list[tuple[int, Tree]]:
    """The devices whose rotation matters, with their places in the list."""
    return [(index, one) for index, one in entries(build, "devices") if word(one, "kind") in OF_SENSORS]


def _sensors(model: Tree, build: Tree) -> Figure:
    if "devices" not in build:
        return Missing(("build.devices",))
    return {str(index): _sensor(index, device, model, build) for index, device in sensors(build)}


def _sensor(index: int, device: Tree, model: Tree, build: Tree) -> Figure:
    as_set = set_angles(model, OF_SENSORS[word(device, "kind")])
    mounted = mounted_on(device, f"build.devices.{index}.mounted")
    board_set, board = set_angles(model), mounted_angles(build)
    to_set: Angles | Missing = board if isinstance(board, Missing) else Angles()
    if isinstance(board, Angles) and isinstance(mounted, Angles):
        to_set = angles_of(composed(turned_back(board.matrix), mounted.matrix))
    return {
        "name": word(device, "name") or word(device, "kind"),
        "set": _told(as_set),
        "mounted": _told(mounted),
        "to_set": _told(to_set),
        "apart_deg": apart(together(board_set, as_set), mounted),
    }


def together(board: Angles | Missing, sensor: Angles | Missing) -> Angles | Missing:
    """A sensor's rotation against the frame: first that on the board, then the board's own."""
    if isinstance(board, Missing):
        return board
    if isinstance(sensor, Missing):
        return sensor
    return angles_of(composed(board.matrix, sensor.matrix))


def apart(one: Angles | Missing, other: Angles | Missing) -> float | Missing:
    """The angle between two rotations in degrees, to a hundredth."""
    if isinstance(one, Missing):
        return one
    if isinstance(other, Missing):
        return other
    return round(apart_deg(one.matrix, other.matrix), 2)


def set_angles(model: Tree, of: str = "alignment") -> Angles | Missing:
    """A rotation in the dump: the board's, or a sensor's."""
    angles = {key: told(model, "sensors", of, key) for key in KEYS}
    for key, angle in angles.items():
        if not isinstance(angle, int | float):
            return Missing((f"model.sensors.{of}.{key}",))
    return Angles(*(float(angle) for angle in angles.values() if isinstance(angle, int | float)))


def mounted_angles(build: Tree) -> Angles | Missing:
    """The board's rotation on the frame; angles that the sheet leaves out are 0, if it has any."""
    return mounted_on(branch(build, "board"), "build.board.mounted")


def mounted_on(part: Tree, path: str) -> Angles | Missing:
    """A part's rotation on the frame; ``path`` is where the sheet says it."""
    if told(part, "mounted") is None:
        return Missing((path,))
    mounted = branch(part, "mounted")
    angles = (mounted.get(key, 0) for key in KEYS)
    return Angles(*(float(angle) for angle in angles if isinstance(angle, int | float)))


def _told(angles: Angles | Missing) -> Figure:
    if isinstance(angles, Missing):
        return angles
    return {key: round(getattr(angles, key), 2) + 0.0 for key in KEYS}
