"""What is soldered, in the words of somebody who looks at it: section ``joints`` of ``derived``.

::

    device.NAME         every device of the build sheet:
      wires             "T4 to RX, R4 to TX, 9V to supply and GND to ground", in the sheet's order
      speaks            what its label or manual should say: "crsf, 420000 baud"
      feed              the rail that it is fed from, "9V (9 V)"
      stands            the supply that it stands: "7 to 26 V"
      usb               whether USB alone can feed it: its rail is no higher than what USB gives
    picture_on_usb      whether the picture can be seen with USB alone: nothing that makes it needs more
    clockwise, counter_clockwise
                        where the motors of each direction stand: "front left and rear right"
    order               the channels in the radio's order: "roll, pitch, throttle and yaw"
    order_set           the same as the firmware is told
"""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, branches, entries, told, word, words
from cfgaudit.model.value import Json, spoken

USB_V = 5.5  # the highest that a USB port gives (USB 2.0, 7.2.2, as amended in 2014; from memory)
PICTURE = ("digital video", "analogue camera", "analogue video")
STICKS = {"A": "roll", "E": "pitch", "T": "throttle", "R": "yaw"}


def joints(model: Tree, build: Tree) -> Section:
    """The section, complete: what the sheet does not tell is Missing."""
    devices = [(f"build.devices.{index}", device) for index, device in entries(build, "devices")]
    makers = [device for _, device in devices if word(device, "kind") in PICTURE]
    return {
        "device": {word(device, "name"): _device(at, device, build) for at, device in devices},
        "picture_on_usb": all(_on_usb("", device, build) is True for device in makers)
        if makers
        else Missing(("build.devices",)),
        "clockwise": _standing("clockwise", build),
        "counter_clockwise": _standing("counter-clockwise", build),
        "order": _order(build, "build", "radio"),
        "order_set": _order(model, "model", "receiver"),
    }


def _device(at: str, device: Tree, build: Tree) -> Figure:
    wires = [f"{pad} to {end}" for pad, end in branch(device, "wires").items()]
    label = [*_label(device)]
    span = told(device, "supply_v")
    return {
        "wires": spoken(wires) if wires else Missing((f"{at}.wires",)),
        "speaks": ", ".join(label) if label else Missing((f"{at}.speaks",)),
        "feed": _feed(at, device, build),
        "stands": _span(span) if isinstance(span, list) else Missing((f"{at}.supply_v",)),
        "usb": _on_usb(at, device, build),
    }


def _label(device: Tree) -> Iterator[str]:
    """What one reads on a device or in its manual."""
    for key in ("speaks", "standard"):
        if said := word(device, key):
            yield said
    rates = told(device, "rate_baud") or told(device, "rates_baud")
    if rates:
        yield f"{spoken(rates)} baud"
    if canvas := words(device, "canvas"):
        yield f"draws {spoken([*canvas])}"
    if told(device, "inverted") is True:
        yield "an inverted signal"
    if word(device, "duplex") == "half":
        yield "both ways over one wire"


def _rail(device: Tree) -> str:
    """The pad that the device is fed from, or ""."""
    return next((pad for pad, end in branch(device, "wires").items() if end == "supply"), "")


def _feed(at: str, device: Tree, build: Tree) -> str | Missing:
    pad = _rail(device)
    if not pad:
        return Missing((f"{at}.wires",))
    volts = told(build, "board", "rails", pad, "volts")
    if volts is None:
        return pad
    return f"{pad} (the pack's voltage)" if volts == "battery" else f"{pad} ({spoken(volts)} V)"


def _on_usb(at: str, device: Tree, build: Tree) -> bool | Missing:
    pad = _rail(device)
    if not pad:
        return Missing((f"{at}.wires",))
    volts: Json = told(build, "board", "rails", pad, "volts")
    if volts == "battery":
        return False
    if isinstance(volts, bool) or not isinstance(volts, int | float):
        return Missing((f"build.board.rails.{pad}.volts",))
    return volts <= USB_V


def _span(span: list[Json]) -> str:
    return f"{' to '.join(spoken(one) for one in span)} V"


def _standing(spin: str, build: Tree) -> str | Missing:
    places = [*branches(build, "motors", "places")]
    named = [
        word(place, "at") or f"motor {number}" for number, place in places if word(place, "spin") == spin
    ]
    return spoken(named) if named else Missing(("build.motors.places",))


def _order(tree: Tree, root: str, section: str) -> str | Missing:
    letters = word(tree, section, "channel_order")
    if not letters or any(letter not in STICKS for letter in letters):
        return Missing((f"{root}.{section}.channel_order",))
    return spoken([STICKS[letter] for letter in letters])
