"""Figures about flight modes on radio channels: section ``modes`` of what rules see as ``derived``.

::

    armable             some switch arms the motors
    arm_from_us         where the range that arms should begin and end: as the build sheet says,
    arm_to_us           else the far third of the travel from where the switch rests
"""

from __future__ import annotations

from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, whole

_UPPER = (1700, 2100)
_LOWER = (900, 1300)
_MIDDLE_US = 1500


def modes(model: Tree, build: Tree, complete: bool = False) -> Section:
    """The section. ``complete``: the dump tells everything, so that a mode it does not name is on
    no switch."""
    arm = branch(build, "radio", "arm")
    from_us, to_us = arming_range(whole(arm, "from_us"), whole(arm, "to_us"), rest_us=whole(arm, "rest_us"))
    return {
        "armable": _armable(model, complete),
        "arm_from_us": from_us,
        "arm_to_us": to_us,
    }


def arming_range(from_us: int | None, to_us: int | None, rest_us: int | None) -> tuple[int, int]:
    """A range in µs that arms and does not hold the switch's rest position.

    The declared one if it is of use, else the third of the travel away from the rest position.
    """
    if from_us is not None and to_us is not None:
        rests_inside = rest_us is not None and from_us <= rest_us <= to_us
        if not rests_inside:
            return from_us, to_us
    return _LOWER if rest_us is not None and rest_us >= _MIDDLE_US else _UPPER


def _armable(model: Tree, complete: bool) -> Figure:
    if branch(model, "modes", "arm"):
        return True
    # A dialect without any mode in it tells nothing of modes, however complete its dump is.
    return False if complete and branch(model, "modes") else Missing(("model.modes.arm",))
