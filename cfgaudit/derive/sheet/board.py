"""The board in a draft: its name and chip, the ports that it brings out, its motor pads and rails."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cfgaudit.derive.sheet.entry import Entry, blank, remark
from cfgaudit.derive.sheet.fact import Fact, Part, entries
from cfgaudit.derive.sheet.motors import pads
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import branch, word
from cfgaudit.dialect.codec.port import UNMAPPED, is_unmapped
from cfgaudit.model.value import Json
from cfgaudit.model.version import numbers

_SIDE = re.compile(r"((?:lp)?uart|soft)([0-9]{1,2})_(tx|rx)")
_ALIGNMENT = tuple(f"sensors.alignment.{key}" for key in ("roll_deg", "pitch_deg", "yaw_deg"))
# What the flight log's memory must be known by, for each kind of it.
_LOGS: dict[str, dict[str, Json]] = {
    "flash": {"record_bytes": 64, "page_bytes": 256, "page_ms": 3},
    "card": {"record_bytes": 64, "bytes_s": 500_000},
}


def board(told: Told, dma: Entry | None = None) -> Entry:
    """The block of the board; ``dma`` is what is to be said of it, if anything is."""
    inner = entries(_PARTS, told, ("board",))
    return Entry("board", inner=(*inner, *([dma] if dma else [])), look="")


def _firmware(values: Sequence[Json]) -> Json:
    """``plover >= 4.1.2``; without a number that can be compared, the name alone."""
    name, version = (str(one or "") for one in values)
    known = ".".join(map(str, numbers(version)))
    return f"{name} >= {known}" if name and known else name or None


def _rotation(values: Sequence[Json]) -> Json:
    keys = ("roll_deg", "pitch_deg", "yaw_deg")
    return None if None in values else dict(zip(keys, values, strict=True))


def _log(values: Sequence[Json]) -> Json:
    return _LOGS.get(str(values[0]))


def _ports(told: Told) -> Entry:
    """The ports that the dump speaks of, with the pins that it has for them."""
    lines = [*_own_numbers(told), *_named(told)]
    if not lines:
        return blank(
            ("board", "ports"), "what the board brings out: the labels of its pads, its maker's drawing"
        )
    look = (
        "does the board bring each of these out, and do its pads lead to these pins? Its maker's drawing "
        "shows them. Ports that are missing here belong here too"
    )
    return Entry("ports", inner=tuple(lines), look=look)


def _named(told: Told) -> Iterator[Entry]:
    pins = _pins(told)
    for id in dict.fromkeys([*branch(told.model, "ports"), *pins]):
        if not is_unmapped(id):
            sides = pins.get(id, {})
            ways = [("pins", f"{id.lower()}_{side}") for side in sides]
            taken = told.lines(*ways) if ways else told.lines(*told.below("ports", id)[:1])
            yield Entry(id, {**sides}, taken=taken)


def _own_numbers(told: Told) -> Iterator[Entry]:
    """Ports that only the firmware's numbers name: which of the chip's they are, the board decides."""
    unmapped = [id for id in branch(told.model, "ports") if is_unmapped(id)]
    if unmapped:
        firmware = word(told.model, "firmware", "name") or "the firmware"
        yield remark(
            f"{firmware} numbers the serial ports itself. Which of the chip's ports each number is, the dump "
            "does not say: the board's manual does, or change one on purpose and look. Until each port has "
            "its number, what is soldered there is not judged"
        )
    taken_names = {*branch(told.model, "ports"), *_pins(told)}
    for id in unmapped:
        number = int(id.removeprefix(UNMAPPED))
        name = "USB" if number == 0 else f"UART{number}"
        lines = told.lines(*told.below("ports", id)[:1])
        if name in taken_names:  # no example then: two ports of one name are none
            yield remark(f"the firmware's port {number}", lines)
            continue
        pins: dict[str, Json] = {} if number == 0 else {"tx": "PA9", "rx": "PA10"}
        yield Entry(name, {"number": number, **pins}, taken=lines, told=False)


def _pins(told: Told) -> dict[str, dict[str, Json]]:
    """Port → its pins by side: ``{"UART4": {"tx": "PA0", "rx": "PA1"}}``."""
    found: dict[str, dict[str, Json]] = {}
    for use, pin in branch(told.model, "pins").items():
        side = _SIDE.fullmatch(use)
        if side and isinstance(pin, str) and pin != "none":
            found.setdefault(f"{side[1].upper()}{side[2]}", {})[side[3]] = pin
    return found


_PARTS: tuple[Part, ...] = (
    Fact("name", "the name printed on the board", ("firmware.board",)),
    Fact("chip", "the print on the largest chip: read it with a lens", ("firmware.mcu",)),
    Fact(
        "firmware",
        "the versions that the craft is meant to fly with; the dump's own is the lowest here",
        ("firmware.name", "firmware.version"),
        _firmware,
    ),
    Fact(
        "mounted",
        "which way the board's arrow points on the frame, and whether its parts are up",
        _ALIGNMENT,
        _rotation,
    ),
    Fact(
        "clocks",
        "the firmware's manual or status page has them; no dump does",
        example={"apb1_mhz": 42, "apb2_mhz": 84},
    ),
    _ports,
    pads,
    Fact(
        "rails",
        "the supply pads by the names printed beside them; the board's maker says what each can feed",
    ),
    Fact(
        "log",
        "the size of a record is in the firmware's manual, the rest in the data sheet of the log's memory",
        ("logging.device", "logging.rate_hz"),
        _log,
        sure=False,
    ),
)
