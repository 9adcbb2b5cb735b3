"""Faults of the build sheet: what is soldered, bolted and bought does not fit together.

Each changes one line of a craft's sheet; the good dump stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build, build_from
from tests.audit.bench import sample_text
from tests.faults.plant import Craft


class SheetKind(Struct, frozen=True):
    """One kind of fault: a text on a line, what stands there instead, and the rules that should find it."""

    name: str
    rules: tuple[str, ...]
    old: str  # a pattern
    new: tuple[str, ...]


SHEETS: tuple[SheetKind, ...] = (
    SheetKind(
        "a part that does not stand its supply",
        ("wiring/supply-does-not-fit",),
        r"supply_v: \[[^]]*\]",
        ("supply_v: [12, 26]", "supply_v: [1, 3]", "supply_v: [2, 4.4]"),
    ),
    SheetKind(
        "sender soldered to sender",
        ("wiring/sender-to-sender", "wiring/pad-used-twice"),
        r"(T[0-9]): RX, (R[0-9]): TX",
        (r"\1: TX, \2: RX",),
    ),
    SheetKind(
        "a listener soldered to a listener", ("wiring/sender-to-sender",), r"(R[0-9]): TX", (r"\1: RX",)
    ),
    SheetKind("no ground wire", ("wiring/no-ground",), r", GND: ground", ("",)),
    SheetKind("no supply wire", ("wiring/no-supply",), r", [59]V: supply|, 10V: supply", ("",)),
    SheetKind(
        "more draw than a rail stands", ("power/rail-overloaded",), r"draws_a: [0-9.]+", ("draws_a: 9",)
    ),
    SheetKind(
        "a pack that is too weak",
        ("power/pack-too-weak",),
        r"c_rating: [0-9]+",
        ("c_rating: 1", "c_rating: 2"),
    ),
    SheetKind(
        "a plug that is too small",
        ("power/plug-too-small",),
        r"connector: XT[0-9]+",
        ("connector: XT30", "connector: XT30"),
    ),
    SheetKind(
        "a wire that is too thin",
        ("power/wire-too-thin",),
        r"wire_awg: [0-9]+",
        ("wire_awg: 24", "wire_awg: 26"),
    ),
    SheetKind(
        "an ESC that is too small", ("power/esc-too-small",), r"amps: (?:45|20|40)", ("amps: 5", "amps: 6")
    ),
    SheetKind(
        "an ESC for other packs", ("power/cells-outside-esc",), r"cells: \[[0-9], [0-9]\]", ("cells: [1, 2]",)
    ),
    SheetKind(
        "an ESC that speaks something else",
        ("motor/protocol-not-spoken",),
        r"protocols: \[[^]]*\]",
        ("protocols: [oneshot125]", "protocols: [pwm]"),
    ),
    SheetKind(
        "motors with other magnets", ("motor/poles",), r"magnets: [0-9]+", ("magnets: 16", "magnets: 22")
    ),
    SheetKind("another pack", ("battery/cells-differ",), r"cells: [0-9],", ("cells: 2,", "cells: 8,")),
    SheetKind(
        "a pack of another size",
        ("battery/capacity-differs",),
        r"capacity_mah: [0-9]+",
        ("capacity_mah: 777",),
    ),
    SheetKind(
        "a motor that turns the other way",
        ("mixer/turns-against", "mixer/props-differ"),
        r"spin: clockwise",
        ("spin: counter-clockwise",),
    ),
    SheetKind(
        "a motor on another pad", ("motor/pin-differs", "motor/two-on-one-pin"), r"pad: M1", ("pad: M2",)
    ),
    SheetKind("another radio", ("receiver/channel-order",), r"channel_order: AETR", ("channel_order: TAER",)),
    SheetKind(
        "another arming switch",
        ("arming/other-channel",),
        r"arm: \{channel: 5",
        ("arm: {channel: 6", "arm: {channel: 9"),
    ),
    SheetKind(
        "a ground unit on another channel",
        ("video/channels-differ",),
        r"ground_channel: [0-9]+",
        ("ground_channel: 1", "ground_channel: 7"),
    ),
    SheetKind(
        "more power than the general rule has",
        ("video/power-beyond-general-rule",),
        r"power_mw: [0-9]+",
        ("power_mw: 800", "power_mw: 1000"),
    ),
    SheetKind(
        "a board that is turned",
        ("sensor/board-alignment",),
        r"  mounted: \{yaw_deg: 0\}",
        ("  mounted: {yaw_deg: 90}", "  mounted: {roll_deg: 180}"),
    ),
    SheetKind(
        "another board",
        ("identity/other-board",),
        r"  name: (?:Reed-405|Sedge-743|Mallow-474)",
        ("  name: Alder-1",),
    ),
    SheetKind("another chip", ("identity/other-chip",), r"chip: STM32[A-Z0-9]+", ("chip: STM32F722RET6",)),
    SheetKind(
        "another firmware",
        ("identity/other-firmware",),
        r"firmware: (?:plover|dunlin|avocet)",
        ("firmware: curlew",),
    ),
    SheetKind(
        "a device that speaks another rate",
        ("serial/rate-differs",),
        r"rate_baud: [0-9]+",
        ("rate_baud: 38400", "rate_baud: 19200"),
    ),
    SheetKind(
        "a receiver of another kind",
        ("receiver/link-differs",),
        r"speaks: (?:crsf|sbus)",
        ("speaks: ibus", "speaks: sumd"),
    ),
    SheetKind(
        "a position receiver of another kind", ("gnss/protocol-differs",), r"speaks: ubx", ("speaks: nmea",)
    ),
    SheetKind(
        "a video unit with another canvas",
        ("osd/canvas-not-drawn",),
        r"canvas: \[[^]]*\]",
        ("canvas: [40x15]",),
    ),
    SheetKind(
        "a device soldered to another port",
        ("wiring/no-such-port",),
        r"port: UART[34]",
        ("port: UART9", "port: UART10"),
    ),
    SheetKind(
        "motors that turn faster than an ESC follows, or a tip should",
        ("motor/erpm-too-high", "motor/tip-too-fast"),
        r"kv: [0-9]+",
        ("kv: 12000", "kv: 15000"),
    ),
    SheetKind(
        "a propeller that is too big",
        ("motor/tip-too-fast",),
        r"propeller:( *)\{inches: [0-9.]+",
        (r"propeller:\1{inches: 22", r"propeller:\1{inches: 25"),
    ),
    SheetKind(
        "a device soldered where another one is, or should be",
        ("serial/devices-that-cannot-share", "serial/job-on-wrong-port", "wiring/no-such-port"),
        r"port: UART[0-9]+",
        tuple(f"port: UART{n}" for n in range(1, 9)),
    ),
    SheetKind(
        "a chip with fewer ports",
        ("serial/port-not-in-chip",),
        r"chip: STM32[A-Z0-9]+",
        ("chip: STM32F411CEU6", "chip: STM32F401CCU6"),
    ),
    SheetKind(
        "a device with an inverted signal",
        ("serial/inversion-differs", "serial/cannot-invert"),
        r"^( *)speaks: (crsf|ubx|msp)",
        (r"\1inverted: true\n\1speaks: \2",),
    ),
    SheetKind(
        "a device with one wire for both directions",
        ("serial/duplex-differs", "serial/one-wire-on-listener"),
        r"^( *)speaks: (crsf|ubx|msp)",
        (r"\1duplex: half\n\1speaks: \2",),
    ),
    SheetKind(
        "a country with other rules", ("video/no-general-rule",), r"country: [A-Z]{2}", ("country: JP",)
    ),
    SheetKind(
        "a video channel that radar has",
        ("video/radar",),
        r"air_channel: 1[0-9]{2}",
        ("air_channel: 60", "air_channel: 100", "air_channel: 120"),
    ),
    SheetKind(
        "a craft of another name", ("identity/craft-name",), r"craft: (?:otter|heron|vole)", ("craft: coot",)
    ),
)


class Altered(Struct, frozen=True):
    """A sheet with a fault: what stands on the line now, and which line."""

    craft: str
    what: str
    sheet: Build
    line: int


def altered(kind: SheetKind, craft: Craft) -> Iterator[Altered]:
    """Every place in a craft's sheet at which a fault of a kind can be."""
    lines = sample_text(f"{craft.name}/build.yaml").splitlines(keepends=True)
    for n, line in enumerate(lines):
        for new in kind.new:
            said = re.sub(kind.old, new, line, count=1)
            if said == line or line.lstrip().startswith("#"):
                continue
            text = "".join((*lines[:n], said, *lines[n + 1 :]))
            try:
                yield Altered(craft.name, said.strip(), build_from(read_yaml(text, "build.yaml")), n + 1)
            except Refusal:
                continue
