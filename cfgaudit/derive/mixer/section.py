"""Figures about the mixer: section ``mixer`` of what rules see as ``derived``.

::

    motor.N             every motor of the build sheet, by its number:
      spoken            "Motor 3 (rear left)"
      at                its place in words, as the sheet has it
      duty              what a motor does there: roll, pitch, yaw, each -1 to 1
      set               what the dump's mixer has it do
      drives_as         the place in words where a motor does what the mixer has this one do, or "nowhere"
      in_place          whether roll and pitch have the signs of its own place
      turns             whether yaw has the sign of its spin
    rank                of the dump's mixer: lift, roll, pitch, yaw that can be chosen freely
    condition           largest singular value ÷ smallest
    roll_sum, pitch_sum, yaw_sum   with all motors at one throttle
    balanced            whether these are nothing, to a twentieth of a motor
    props               how the front right motor is to turn: in, out; of the build sheet
"""

from __future__ import annotations

from collections.abc import Mapping

from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.mixer.frame import SLIGHT, Row, alike, duty, place_of, sign
from cfgaudit.derive.mixer.matrix import condition, rank, sums
from cfgaudit.derive.tree import Tree, branch, branches, told, word


def mixer(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    rows = set_rows(model)
    return {"motor": _motors(rows, build), **_whole(rows), "props": props(build)}


def set_rows(model: Tree) -> dict[str, Row] | Missing:
    """The dump's mixer by motor; Missing where it has none, or a row of it is not whole."""
    rows: dict[str, Row] = {}
    for number, row in branches(model, "mixer"):
        values = [told(row, key) for key in ("throttle", "roll", "pitch", "yaw")]
        numbers = [float(one) for one in values if isinstance(one, int | float)]
        if len(numbers) < len(values):
            return Missing((f"model.mixer.{number}",))
        rows[number] = Row(*numbers)
    return rows or Missing(("model.mixer",))


def duties(build: Tree) -> dict[str, Row | Missing]:
    """What each motor of the build sheet does where it is bolted, by its number."""
    return {number: _duty(number, motor, build) for number, motor in branches(build, "motors", "places")}


def _duty(number: str, motor: Tree, build: Tree) -> Row | Missing:
    at, x, y = word(motor, "at"), told(motor, "x_mm"), told(motor, "y_mm")
    spin = word(motor, "spin")
    if isinstance(x, int | float) and isinstance(y, int | float):
        arm = max(abs(x), abs(y), 1.0)
        return duty(x / arm, y / arm, spin)
    if not at:
        return Missing((f"build.motors.places.{number}.at",))
    layout = word(build, "motors", "layout")
    if not layout:
        return Missing(("build.motors.layout",))
    try:
        return duty(*place_of(layout, at), spin)
    except ValueError as unknown:
        return Missing((f"build.motors.places.{number}.at",), str(unknown))


def _motors(rows: dict[str, Row] | Missing, build: Tree) -> Figure:
    expected = duties(build)
    if not expected:
        return Missing(("build.motors.places",))
    known = {number: row for number, row in expected.items() if isinstance(row, Row)}
    return {
        number: _motor(number, row, rows, known, branch(build, "motors", "places", number))
        for number, row in expected.items()
    }


def _motor(
    number: str, own: Row | Missing, rows: dict[str, Row] | Missing, known: Mapping[str, Row], place: Tree
) -> Figure:
    at = word(place, "at")
    spoken = f"Motor {number} ({at})" if at else f"Motor {number}"
    has = rows if isinstance(rows, Missing) else rows.get(number, Missing((f"model.mixer.{number}",)))
    figures: dict[str, Figure] = {"spoken": spoken, "at": at, "spin": word(place, "spin")}
    if isinstance(own, Missing) or isinstance(has, Missing):
        gap = next(one for one in (own, has) if isinstance(one, Missing))
        return {**figures, **dict.fromkeys(("duty", "set", "drives_as", "in_place", "turns"), gap)}
    like = [other for other, row in known.items() if alike(row.levers, has.levers)]
    turns: Figure = sign(own.yaw) == sign(has.yaw)
    return {
        **figures,
        "duty": _shares(own),
        "set": _shares(has),
        "drives_as": ", ".join(f"motor {other}" for other in like) or "no motor of this frame",
        "in_place": alike(own.levers, has.levers),
        "turns": turns if own.yaw else Missing((f"build.motors.places.{number}.spin",)),
    }


def _shares(row: Row) -> Figure:
    return {"roll": round(row.roll, 2), "pitch": round(row.pitch, 2), "yaw": round(row.yaw, 2)}


def _whole(rows: dict[str, Row] | Missing) -> Section:
    keys = ("rank", "condition", "roll_sum", "pitch_sum", "yaw_sum", "balanced")
    if isinstance(rows, Missing):
        return dict.fromkeys(keys, rows)
    motors = tuple(rows.values())
    roll, pitch, yaw = sums(motors)
    even = condition(motors)
    return {
        "rank": rank(motors),
        "condition": round(even, 2) if even < 1e6 else Missing(("model.mixer",), "it cannot steer at all"),
        "roll_sum": round(roll, 2),
        "pitch_sum": round(pitch, 2),
        "yaw_sum": round(yaw, 2),
        "balanced": all(abs(one) <= SLIGHT * max(1, len(motors) / 4) for one in (roll, pitch, yaw)),
    }


def props(build: Tree) -> str | Missing:
    """``in`` if the front right propeller's leading side sweeps towards the nose's line, else ``out``.

    Seen from above, a counter-clockwise rotor at the front right moves inwards ahead of its hub.
    """
    front = [
        (number, word(motor, "spin"))
        for number, motor in branches(build, "motors", "places")
        if word(motor, "at").startswith("front right")
    ]
    spins = {spin for _, spin in front}
    if not front:
        return Missing(("build.motors.places",), "no motor is at the front right")
    if spins == {""}:
        return Missing((f"build.motors.places.{front[0][0]}.spin",))
    if len(spins) > 1:
        return Missing(("build.motors.places",), "two motors at the front right turn against each other")
    return "in" if spins == {"counter-clockwise"} else "out"
