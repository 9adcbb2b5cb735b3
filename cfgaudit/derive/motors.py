"""Figures about motors and their outputs: section ``motors`` of what rules see as ``derived``.

::

    place.N             every motor of the build sheet, by its number:
      spoken            "Motor 3 (rear left)"
      pad_pin           the chip's pin behind the pad that its ESC is soldered to
      output            the output that drives it, or "" if none does
      pin               that output's pin
    output.N            every output that the dump speaks of:
      drives            the number of the motor it drives, as text, or ""
      pin               its pin, as the chip's maker writes it; "none" if it has none
      shares            the first output on the same pin, if that is another one: a list of one or none
    outputs             the numbers of all outputs that the dump speaks of
    count               motors of the build sheet
    protocol            what the outputs speak, in small letters
    esc_protocols       what the ESC understands, in small letters
    protocol_to_set     the first of them; a DShot one if the motors are to answer
    reversible          the build sheet declares motors that run both ways
    pole_ratio          figured rpm ÷ real rpm with the poles as set
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from cfgaudit.derive.dshot import BIT_RATES
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.poles import distortion
from cfgaudit.derive.tree import Tree, branches, told, whole, word, words
from cfgaudit.model.value import Json

_PIN = re.compile(r"P?([A-Z])_?0*([0-9]{1,2})", re.ASCII)


def motors(model: Tree, build: Tree, partial: bool = False) -> Section:
    """The section, complete. ``partial``: the dump tells changed settings only, so that an output
    it does not speak of may exist all the same."""
    outputs = dict(branches(model, "outputs"))
    places = dict(branches(build, "motors", "places"))
    return {
        "place": {number: _place(number, place, build, outputs, partial) for number, place in places.items()},
        "output": dict(_outputs(outputs)),
        "outputs": [*outputs],
        "count": len(places),
        **_protocols(model, build),
        "reversible": told(build, "motors", "reversible") is True,
        "pole_ratio": _pole_ratio(model, build),
    }


def pin(written: str) -> str:
    """A pin as the chip's maker writes it: ``b6``, ``PB06`` and ``PB_6`` → ``PB6``; else unchanged."""
    match = _PIN.fullmatch(written.strip().upper())
    return f"P{match[1]}{match[2]}" if match else written


def _place(number: str, place: Tree, build: Tree, outputs: Mapping[str, Tree], partial: bool) -> Figure:
    output = _output_for(number, outputs, partial)
    at = word(place, "at")
    return {
        "spoken": f"Motor {number} ({at})" if at else f"Motor {number}",
        "pad_pin": pad_pin(number, word(place, "pad"), build),
        "output": output,
        "pin": output if isinstance(output, Missing) else _pin_of(output, outputs),
    }


def pad_pin(number: str, pad: str, build: Tree) -> str | Missing:
    """The chip's pin behind the pad that a motor's ESC is soldered to."""
    if not pad:
        return Missing((f"build.motors.places.{number}.pad",))
    written = word(build, "board", "motor_pads", pad)
    return pin(written) if written else Missing((f"build.board.motor_pads.{pad}",))


def _output_for(number: str, outputs: Mapping[str, Tree], partial: bool) -> str | Missing:
    for id, output in outputs.items():
        if _drives(output) == number:
            return id
    silent = [id for id, output in outputs.items() if "motor" not in output and "use" not in output]
    if silent:
        return Missing(tuple(f"model.outputs.{id}.motor" for id in silent))
    return Missing(("model.outputs",)) if partial or not outputs else ""


def _drives(output: Tree) -> str:
    motor = whole(output, "motor")
    return "" if motor is None else str(motor)


def _pin_of(id: str, outputs: Mapping[str, Tree]) -> str | Missing:
    if not id:
        return "none"
    written = word(outputs[id], "pin")
    return pin(written) if written else Missing((f"model.outputs.{id}.pin",))


def _outputs(outputs: Mapping[str, Tree]) -> Iterator[tuple[str, Figure]]:
    first: dict[str, str] = {}
    for id, output in outputs.items():
        own = _pin_of(id, outputs)
        on_pin = id if isinstance(own, Missing) or own == "none" else first.setdefault(own, id)
        yield id, {"drives": _drives(output), "pin": own, "shares": [] if on_pin == id else [on_pin]}


def _protocols(model: Tree, build: Tree) -> Section:
    protocol = word(model, "motors", "protocol").lower()
    known = [one.lower() for one in words(build, "esc", "protocols")]
    answering = told(model, "motors", "bidirectional") is True
    suiting = [one for one in known if one in BIT_RATES or not answering] or known
    unknown = Missing(("build.esc.protocols",))
    return {
        "protocol": protocol or Missing(("model.motors.protocol",)),
        "esc_protocols": [*known] if known else unknown,
        "protocol_to_set": suiting[0] if suiting else unknown,
    }


def _pole_ratio(model: Tree, build: Tree) -> Figure:
    set_poles, magnets = whole(model, "motors", "poles"), whole(build, "motors", "magnets")
    if set_poles is None or magnets is None:
        told_by: dict[str, Json] = {"model.motors.poles": set_poles, "build.motors.magnets": magnets}
        return Missing(tuple(path for path, count in told_by.items() if count is None))
    try:
        return round(distortion(set_poles, magnets), 3)
    except ValueError as odd:
        guilty = "build.motors.magnets" if magnets < 2 or magnets % 2 else "model.motors.poles"
        return Missing((guilty,), str(odd))
