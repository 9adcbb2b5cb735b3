"""Figures about flight modes on radio channels: section ``modes`` of what rules see as ``derived``.

::

    armable             some switch arms the motors
    arm_from_us         where the range that arms should begin and end: as the build sheet says,
    arm_to_us           else the far third of the travel from where the switch rests
    home                slots of switches that bring the craft home: id, channel
    overlap.N           two modes that exclude each other and are both on at some position of a switch:
      one, other        their names in words
      channel, from_us, to_us   where
      place, beside     where the dump has them, as paths
"""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, branches, whole

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
        "overlap": {str(n): one for n, one in enumerate(_overlaps(model), 1)}
        if branch(model, "modes")
        else Missing(("model.modes",)),
        "home": [
            {"id": slot, "channel": whole(one, "channel") or 0}
            for slot, one in branches(model, "modes", "return_home")
        ]
        if branch(model, "modes")
        else Missing(("model.modes",)),
    }


# Modes that want opposite things of the motors, or of which one makes the other come to nothing: common
# practice. Turning over runs the motors backwards; a switch that drops out of the sky must not arm as well.
_EXCLUDE = (
    ("arm", "flip_over"), ("arm", "failsafe"), ("flip_over", "self_level"), ("flip_over", "hold_altitude"),
    ("flip_over", "hold_position"), ("flip_over", "return_home"), ("hold_position", "return_home"),
)  # fmt: skip


def _overlaps(model: Tree) -> Iterator[Figure]:
    for one, other in _EXCLUDE:
        for slot, mine in branches(model, "modes", one):
            for at, theirs in branches(model, "modes", other):
                low = max(whole(mine, "from_us") or 0, whole(theirs, "from_us") or 0)
                high = min(whole(mine, "to_us") or 0, whole(theirs, "to_us") or 0)
                channel = whole(mine, "channel")
                if channel is not None and channel == whole(theirs, "channel") and low < high:
                    yield {
                        "one": one.replace("_", " "),
                        "other": other.replace("_", " "),
                        "channel": channel,
                        "from_us": low,
                        "to_us": high,
                        "place": ["modes", one, slot],
                        "beside": ["modes", other, at],
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
