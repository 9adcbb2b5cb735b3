"""Figures about how the battery is measured: section ``meter`` of what rules see as ``derived``.

::

    current_off_percent, voltage_off_percent   the set scale against that of the board's data sheet
    esc_heard           whether the ESC's own measurements reach the firmware: a port carries its report, or
                        it answers each throttle command
    by_esc              whether the battery is to be measured by the ESC
    alarmed             whether an alarm depends on the voltage
    left_percent        what is left of the capacity when the alarm by capacity sounds; 0 if none does
"""

from __future__ import annotations

from cfgaudit.derive.inputs import above_zero, number
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, branches, told, word, words


def meter(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    return {
        "current_off_percent": _off("current_scale", model, build),
        "voltage_off_percent": _off("voltage_scale", model, build),
        "esc_heard": _esc_heard(model),
        "by_esc": _by_esc(model),
        "alarmed": _alarmed(model),
        "left_percent": _left(model),
    }


def _by_esc(model: Tree) -> Figure:
    sources = [word(model, "battery", "voltage_from"), word(model, "battery", "current_from")]
    return "esc" in sources if any(sources) else Missing(("model.battery.voltage_from",))


def _alarmed(model: Tree) -> Figure:
    if not branch(model, "battery"):
        return Missing(("model.battery.cell_warn_v",))
    alarms = (told(model, "battery", key) for key in ("cell_warn_v", "cell_empty_v"))
    return any(isinstance(one, int | float) for one in alarms)


def _left(model: Tree) -> Figure:
    """By what is left, or by what has been used of the capacity that is set."""
    left = number(model, "model", "battery", "warn_left_percent")
    if not isinstance(left, Missing):
        return round(left, 1)
    used = number(model, "model", "battery", "warn_used_mah")
    capacity = above_zero(model, "model", "battery", "capacity_mah")
    if isinstance(used, Missing):
        return left
    if isinstance(capacity, Missing):
        return capacity
    return round((1 - used / capacity) * 100, 1) if used else 0.0


def _off(scale: str, model: Tree, build: Tree) -> Figure:
    declared, as_set = (
        above_zero(build, "build", "board", "sense", scale),
        number(model, "model", "battery", scale),
    )
    if isinstance(declared, Missing):
        return declared
    if isinstance(as_set, Missing):
        return as_set
    return round(abs(as_set - declared) / declared * 100, 1)


def _esc_heard(model: Tree) -> Figure:
    if told(model, "motors", "bidirectional") is True:
        return True
    if not branch(model, "ports"):
        return Missing(("model.ports",))
    return any("esc-telemetry" in words(port, "functions") for _, port in branches(model, "ports"))
