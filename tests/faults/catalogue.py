"""The catalogue of faults: what builders, presets and updates do to a configuration, one setting at a time.

A kind of fault has the rules that should find it, and the places and values at which it can be sown
into a craft's good dump. It knows the settings and the hardware, never the rules' own expressions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from random import Random

from msgspec import Struct

from cfgaudit.model.path import Path
from cfgaudit.model.value import Value
from tests.faults.plant import Craft

Change = tuple[Path, Value]
RATES = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 100000, 115200, 230400, 400000, 420000, 460800, 921600)
JOBS = ("receiver", "telemetry", "msp", "displayport", "gnss", "esc-telemetry", "vtx-control", "mavlink",
        "rangefinder", "flight-log")  # fmt: skip


class Kind(Struct, frozen=True):
    """One kind of fault."""

    name: str
    rules: tuple[str, ...]  # of which any is the right one
    sow: Callable[[Craft, Random], Iterable[Change]]


KINDS: list[Kind] = []


def kind(name: str, *rules: str) -> Callable[[Callable[[Craft, Random], Iterable[Change]]], None]:
    def listed(sow: Callable[[Craft, Random], Iterable[Change]]) -> None:
        KINDS.append(Kind(name, rules, sow))

    return listed


def simple(name: str, path: str, rules: tuple[str, ...], *values_: Value) -> None:
    """A kind that sets one path to any of some values."""
    at = tuple(path.split("."))
    KINDS.append(
        Kind(name, rules, lambda craft, dice: [(one, v) for one in craft.under(*at) for v in values_])
    )


def _words(value: Value) -> tuple[str, ...]:
    return tuple(map(str, value)) if isinstance(value, tuple) else ()


def _wired(craft: Craft) -> Iterator[tuple[str, str, dict[str, object]]]:
    for device in craft.devices:
        port, job = device.get("port"), device.get("job")
        if isinstance(port, str) and isinstance(job, str):
            yield port, job, dict(device)


# Serial ports


@kind("a device's job taken off its port", "serial/job-nowhere", "osd/displayport-without-port",
      "video/control-without-port")  # fmt: skip
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for port, job, _ in _wired(craft):
        path = ("ports", port, "functions")
        if job in _words(craft.told.get(path, ())):
            yield path, tuple(one for one in _words(craft.told[path]) if one != job)


@kind("another job in place of the device's", "serial/job-nowhere", "serial/job-on-wrong-port",
      "serial/job-on-second-port", "serial/no-room-for-job", "osd/displayport-without-port")  # fmt: skip
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for port, job, _ in _wired(craft):
        for other in JOBS:
            if other != job:
                yield ("ports", port, "functions"), (other,)


@kind("one more job beside the device's", "serial/jobs-that-cannot-share", "serial/job-on-second-port",
      "serial/job-without-device", "serial/no-room-for-job")  # fmt: skip
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    beside = {"receiver": {"telemetry"}, "displayport": {"msp", "vtx-control"}, "telemetry": {"mavlink"}}
    for port, job, _ in _wired(craft):
        had = _words(craft.told.get(("ports", port, "functions"), ()))
        for other in JOBS:
            if other not in (*had, *beside.get(job, ())):
                yield ("ports", port, "functions"), (*had, other)


@kind("a job on a port with nothing soldered to it", "serial/job-without-device", "serial/job-on-second-port",
      "serial/port-not-brought-out")  # fmt: skip
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    soldered = {port for port, _, _ in _wired(craft)}
    for path in craft.under("ports", "*", "functions"):
        if path[1] not in {*soldered, "USB"}:
            yield from ((path, (job,)) for job in JOBS)


@kind("a port's rate", "serial/rate-differs", "serial/line-overfull", "serial/line-nearly-full")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for port, job, device in _wired(craft):
        if "rate_baud" not in device:
            continue
        for path in (("ports", port, "rate_baud"), ("ports", port, "rates_baud", job)):
            yield from ((path, rate) for rate in RATES if rate != device["rate_baud"])


@kind("the configuration program locked out", "serial/console-link-lost")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    had = _words(craft.told.get(("ports", "USB", "functions"), ()))
    yield ("ports", "USB", "functions"), tuple(one for one in had if one != "console-link")
    for job in ("msp", "telemetry", "mavlink"):
        yield ("ports", "USB", "functions"), (job,)


@kind("a port's inversion", "serial/inversion-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for port, _, _ in _wired(craft):
        path = ("ports", port, "inverted")
        if isinstance(craft.told.get(path), bool):
            yield path, not craft.told[path]


@kind("a port's duplex", "serial/duplex-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for port, _, _ in _wired(craft):
        path = ("ports", port, "duplex")
        if path in craft.told:
            yield path, "half" if craft.told[path] == "full" else "full"


# OSD


@kind("the OSD's drive", "osd/drive-does-not-fit")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    yield from ((("osd", "drive"), one) for one in ("chip", "displayport", "off"))


@kind("the canvas", "osd/canvas-not-drawn", "osd/element-outside")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if craft.told.get(("osd", "drive")) == "displayport":
        yield from ((("osd", "columns"), n) for n in range(20, 64))
        yield from ((("osd", "rows"), n) for n in range(10, 30) if n != 18)


@kind("the camera's standard", "osd/standard-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if craft.told.get(("osd", "drive")) == "chip":
        yield from ((("osd", "standard"), one) for one in ("ntsc", "hd"))


def _shown(craft: Craft) -> list[str]:
    return [path[2] for path in craft.under("osd", "elements", "*", "shown") if craft.told[path] is True]


def _canvas(craft: Craft) -> tuple[int, int]:
    if craft.told.get(("osd", "drive")) == "displayport":
        return int(str(craft.told["osd", "columns"])), int(str(craft.told["osd", "rows"]))
    return 30, 16 if craft.told.get(("osd", "standard")) == "pal" else 13


@kind("an element outside the canvas", "osd/element-outside")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    columns, rows = _canvas(craft)
    for name in _shown(craft):
        yield from ((("osd", "elements", name, "column"), n) for n in range(columns, columns + 8))
        yield from ((("osd", "elements", name, "row"), n) for n in range(rows, rows + 6))


@kind("an element on top of another", "osd/elements-overlap")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    at = {
        name: (craft.told["osd", "elements", name, "column"], craft.told["osd", "elements", name, "row"])
        for name in _shown(craft)
    }
    for name, (column, row) in at.items():
        for other, (elsewhere, below) in at.items():
            if "horizon" in (name, other):  # lies behind the others on purpose
                continue
            if name != other and below == row:
                yield ("osd", "elements", name, "column"), elsewhere
            if name != other and elsewhere == column:
                yield ("osd", "elements", name, "row"), below


@kind("something the pilot must see hidden", "osd/must-see")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for name in ("warnings", "flight_timer", "link_quality"):
        yield ("osd", "elements", name, "shown"), False


@kind("an element without its sensor", "osd/without-sensor")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    kinds = {device.get("kind") for device in craft.devices}
    lacking = {
        "gnss": ("speed", "home_distance", "home_direction", "satellites", "latitude", "longitude"),
        "rangefinder": ("ground_height",),
    }
    for sensor, names in lacking.items():
        if sensor not in kinds:
            yield from ((("osd", "elements", name, "shown"), True) for name in names)


# Motors and mixer

PINS = ("PA2", "PA3", "PA8", "PB1", "PB3", "PB4", "PB10", "PC0", "PC6", "PC7", "PC9", "PD2", "PE5", "PC13")


@kind("a motor's pin", "motor/pin-differs", "motor/two-on-one-pin", "chip/pin-without-timer")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    pads = craft.declared("board", "motor_pads")
    others = [str(pin) for pin in pads.values()] if isinstance(pads, dict) else []
    for path in craft.under("outputs", "*", "pin"):
        if (path[0], path[1], "motor") in craft.told and craft.told[path] != "none":
            yield from ((path, pin) for pin in (*PINS, *others) if pin != craft.told[path])


@kind("a motor's output without a pin", "motor/output-off")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("outputs", "*", "pin"):
        if (path[0], path[1], "motor") in craft.told:
            yield path, "none"


@kind("an output for another motor", "motor/pin-differs", "motor/without-output", "motor/output-left-over")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("outputs", "*", "motor"):
        if craft.told.get((*path[:2], "pin")) != "none":
            yield from ((path, n) for n in range(1, 9) if n != craft.told[path])


@kind(
    "a motor's share of roll or pitch", "mixer/motor-elsewhere", "mixer/cannot-steer", "mixer/out-of-balance"
)
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in (*craft.under("mixer", "*", "roll"), *craft.under("mixer", "*", "pitch")):
        share = craft.told[path]
        if isinstance(share, int | float) and abs(share) > 0.1:
            yield from ((path, one) for one in (-share, 0.0, -share / 2))


@kind("a motor's share of yaw", "mixer/turns-against", "mixer/out-of-balance")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("mixer", "*", "yaw"):
        share = craft.told[path]
        if isinstance(share, int | float) and share:
            yield from ((path, one) for one in (-share, 0.0, -share / 2))


@kind("which way the propellers turn", "mixer/props-differ")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    yield from ((("motors", "props"), one) for one in ("in", "out"))


@kind(
    "the motor protocol",
    "motor/protocol-not-spoken",
    "motor/protocol-without-answer",
    "motor/update-too-slow",
)
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    known = craft.declared("esc", "protocols")
    for word in (
        "dshot150",
        "dshot300",
        "dshot600",
        "dshot1200",
        "oneshot125",
        "multishot",
        "pwm",
        "brushed",
    ):
        if word not in (known if isinstance(known, list) else ()):
            yield ("motors", "protocol"), word


@kind("motors that are to answer or not", "motor/esc-cannot-answer", "filter/rpm-without-answer")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    yield ("motors", "bidirectional"), not craft.told.get(("motors", "bidirectional"))


@kind("the pole count", "motor/poles")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    magnets = craft.declared("motors", "magnets")
    yield from ((("motors", "poles"), n) for n in range(4, 37, 2) if n != magnets)


simple(
    "idle too low or too high", "motors.idle_percent", ("motor/idle-unusual",), 0, 0.5, 1, 1.5, 12, 15, 20, 25
)
simple("motors that run both ways", "motors.reversible", ("motor/reversible-undeclared",), True)
simple("a limit on the motors", "motors.limit_percent", ("motor/limit-set",), 20, 50, 70, 80, 90, 95, 99)


def _used(craft: Craft, key: str) -> list[Path]:
    """The settings of pins that an output is on."""
    pins = {
        craft.told[path]
        for path in craft.under("outputs", "*", "pin")
        if craft.told.get((*path[:2], "use")) not in ("none", "camera-trigger")
    }
    return [path for path in craft.under("pin_setup", "*", key) if path[1] in pins]


@kind("a pin's timer", "chip/timer-not-on-pin", "chip/timer-shared")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in _used(craft, "timer"):
        yield from ((path, f"TIM{n}") for n in (1, 2, 3, 4, 5, 8, 12, 15) if f"TIM{n}" != craft.told[path])


@kind("a pin's channel of its timer", "chip/timer-not-on-pin")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in _used(craft, "channel"):
        yield from ((path, n) for n in range(1, 5) if n != craft.told[path])


@kind("a pin's alternate function", "chip/alternate-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in _used(craft, "alternate"):
        yield from ((path, n) for n in range(16) if n != craft.told[path])


@kind("a pin's DMA channel", "chip/dma-not-on-timer", "chip/dma-clash")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in _used(craft, "dma"):
        others = [f"{c}/{n}" for c in (1, 2) for n in range(9)]
        taken = {craft.told[one] for one in _used(craft, "dma")}
        on_f4 = "F405" in str(craft.declared("board", "chip"))
        yield from ((path, one) for one in others if (on_f4 and one != craft.told[path]) or one in taken)


@kind("a pin used a second time", "wiring/pin-used-twice")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    pads = craft.declared("board", "motor_pads")
    taken = [str(pin) for pin in pads.values()] if isinstance(pads, dict) else []
    for path in craft.under("pins", "*"):
        if not path[1].startswith(("uart", "usb", "lpuart")):
            yield from ((path, pin) for pin in taken)


# Receiver, modes, arming, failsafe


@kind("the receiver's protocol", "receiver/link-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for word in ("crsf", "sbus", "ibus", "sumd", "ghst", "dsm", "fport", "ppm"):
        yield ("receiver", "link"), word


@kind("the channel order", "receiver/channel-order")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for word in ("TAER", "AETR", "RTAE", "ERTA", "AERT"):
        if word != craft.declared("radio", "channel_order"):
            yield ("receiver", "channel_order"), word


@kind(
    "the arming switch's channel",
    "arming/other-channel",
    "receiver/mode-channel-not-carried",
    "mode/excluding",
)
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("modes", "arm", "*", "channel"):
        yield from ((path, n) for n in range(5, 21) if n != craft.told[path])


@kind("an arming range that holds the rest position", "arming/armed-at-rest", "arming/whole-travel")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("modes", "arm", "*", "from_us"):
        yield from ((path, n) for n in range(900, 1001, 25))


@kind("a mode on a channel that is not carried", "receiver/mode-channel-not-carried")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for path in craft.under("modes", "*", "*", "channel"):
        yield from ((path, n) for n in (17, 18, 19, 20))


simple("arming checks switched off", "arming.checks", ("arming/checks-off",), False)


@kind("the failsafe's action", "failsafe/holds", "failsafe/home-without-gnss", "failsafe/lifts")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    yield ("failsafe", "action"), "hold"
    if not any(device.get("kind") == "gnss" for device in craft.devices):
        yield ("failsafe", "action"), "return_home"


simple("a failsafe that waits", "failsafe.delay_s", ("failsafe/too-late",), 2.1, 2.5, 3, 4, 5, 8, 10, 15, 20)


@kind("a failsafe that lifts", "failsafe/lifts")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if craft.told.get(("failsafe", "action")) == "land":
        yield from ((("failsafe", "throttle_us"), n) for n in range(1510, 2000, 20))


# Battery


@kind("the number of cells", "battery/cells-differ")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    cells = craft.declared("battery", "cells")
    yield from ((("battery", "cells"), n) for n in range(1, 13) if n != cells)


simple(
    "a full cell too high", "battery.cell_full_v", ("battery/full-too-high",), 4.25, 4.3, 4.35, 4.4, 4.45, 4.5
)
simple("thresholds out of order", "battery.cell_warn_v",
       ("battery/thresholds-not-in-order", "battery/warning-too-low"), 2.5, 2.6, 2.7, 4.25, 4.3)  # fmt: skip
simple("an empty cell too low", "battery.cell_empty_v", ("battery/empty-too-low",), 1.8, 2, 2.2, 2.4)
simple(
    "an empty cell above the warning",
    "battery.cell_empty_v",
    ("battery/thresholds-not-in-order",),
    3.7,
    3.8,
    4,
)
simple("no voltage measured", "battery.voltage_from", ("battery/no-voltage", "battery/esc-not-heard"), "none")


@kind("the pack's capacity", "battery/capacity-differs", "battery/no-capacity", "battery/capacity-alarm")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    size = craft.declared("battery", "capacity_mah")
    for n in (0, 300, 450, 650, 850, 1000, 1300, 1500, 2200, 5000, 21000):
        if n != size:
            yield ("battery", "capacity_mah"), n


simple("an alarm that comes too late", "battery.warn_left_percent", ("battery/capacity-alarm",), *range(10))
simple("an alarm that comes too late, by what is used", "battery.warn_used_mah", ("battery/capacity-alarm",),
       0, 19000, 20000, 20500, 21000, 25000)  # fmt: skip


@kind("the voltage's scale", "battery/voltage-scale")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    yield from (
        (("battery", "voltage_scale"), float(n)) for n in (2, 5, 8, 9.5, 12.5, 15, 18, 21, 25, 30, 40)
    )


@kind("the current's scale", "battery/current-scale")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    right = craft.declared("board", "sense", "current_scale")
    for n in (2, 5, 10, 17, 25, 28, 50, 60, 80, 100, 150, 300):
        if isinstance(right, int | float) and abs(n - right) / right > 0.26:
            yield ("battery", "current_scale"), float(n)


# Loop, filters, sensors, position, video, log, identity


@kind("the loop's rate", "filter/loop-does-not-divide", "motor/update-too-slow", "filter/corner-too-high",
      "filter/harmonics-too-high")  # fmt: skip
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    gyro = craft.told.get(("loop", "gyro_hz"))
    for n in (3000, 3200, 5000, 6000, 6400, 7000):
        if isinstance(gyro, int | float) and gyro % n:
            yield ("loop", "control_hz"), n


@kind("the gyro's rate", "filter/gyro-rate-impossible", "filter/loop-does-not-divide")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    gives = craft.declared("board", "sensors", "gyro_hz")
    for n in (500, 1000, 2000, 3200, 4000, 6400, 6660, 8000, 16000, 32000):
        if n not in (gives if isinstance(gives, list) else ()):
            yield ("loop", "gyro_hz"), n


@kind("a notch upside down", "filter/bounds-upside-down")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    high, low = craft.told.get(("filters", "notch", "max_hz")), craft.told.get(("filters", "notch", "min_hz"))
    if isinstance(high, int | float) and isinstance(low, int | float):
        yield from ((("filters", "notch", "min_hz"), int(high) + n) for n in (1, 10, 50, 100, 200))
        yield from ((("filters", "notch", "max_hz"), max(1, int(low) - n)) for n in (1, 10, 20))


@kind("how the board is mounted", "sensor/board-alignment")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for key in ("roll_deg", "pitch_deg", "yaw_deg"):
        yield from (
            (("sensors", "alignment", key), n) for n in (-180, -90, -45, 8, 20, 45, 90, 135, 180, 270)
        )


@kind("how the compass is mounted", "sensor/alignment")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if any(device.get("kind") == "magnetometer" for device in craft.devices):
        for key in ("roll_deg", "pitch_deg", "yaw_deg"):
            path = ("sensors", "magnetometer_alignment", key)
            yield from ((path, n) for n in (-90, 0, 45, 120, 180, 270) if n != craft.told.get(path))


@kind("a sensor on or off", "sensor/switched-off", "sensor/not-there")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    for name in ("barometer", "magnetometer"):
        yield ("sensors", name), not craft.told.get(("sensors", name))


@kind("the position receiver's protocol", "gnss/protocol-differs")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if any(device.get("kind") == "gnss" for device in craft.devices):
        yield from ((("gnss", "protocol"), one) for one in ("nmea", "msp", "none"))


@kind("more positions than the receiver gives", "gnss/update-rate")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if any(device.get("kind") == "gnss" for device in craft.devices):
        yield from ((("gnss", "update_hz"), n) for n in range(11, 26))


@kind("the video unit not steered", "video/not-steered", "video/control-without-port")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    if any(device.get("job") == "vtx-control" for device in craft.devices):
        yield ("video", "control"), "none"


simple("no flight log", "logging.device", ("logging/device-not-set",), "none")


@kind("more flight log than the device takes", "logging/too-much")
def _(craft: Craft, dice: Random) -> Iterator[Change]:
    log = craft.declared("board", "log")
    told = {key: n for key, n in log.items() if isinstance(n, int | float)} if isinstance(log, dict) else {}
    takes = told.get("bytes_s") or told["page_bytes"] / told["page_ms"] * 1000
    for rate in range(500, 4001, 100):
        if rate * told["record_bytes"] > takes:
            yield ("logging", "rate_hz"), rate


simple(
    "another craft's name",
    "identity.craft_name",
    ("identity/craft-name",),
    "kingfisher",
    "dipper",
    "coot",
    "x",
)
