"""The blocks of a draft in their order: the craft, its board, and all that is bolted or belongs to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.derive.battery import CHEMISTRIES, Chemistry
from cfgaudit.derive.sheet.board import board
from cfgaudit.derive.sheet.devices import devices
from cfgaudit.derive.sheet.entry import Entry, blank, fits
from cfgaudit.derive.sheet.fact import Fact, Part, entries, only
from cfgaudit.derive.sheet.motors import esc, motors
from cfgaudit.derive.sheet.told import Told
from cfgaudit.derive.tree import Tree, branches
from cfgaudit.derive.tree import told as told_at
from cfgaudit.model.path import Path
from cfgaudit.model.value import Json


def craft(told: Told, dma: Entry | None = None) -> Iterator[Entry]:
    """All lines of a draft; ``dma`` goes into the board's block."""
    yield from entries(_NAMES, told)
    yield board(told, dma)
    yield devices(told)
    yield esc(told)
    yield motors(told)
    yield from entries(_PROPELLER, told)
    yield Entry("battery", inner=entries(_BATTERY, told, ("battery",)))
    yield Entry("radio", inner=(*entries(_RADIO, told, ("radio",)), _arm(told)))
    yield Entry("video_link", inner=entries(_VIDEO, told, ("video_link",)))


def _cells(values: Sequence[Json]) -> Json:
    """The cell count; 0 stands for one that is counted when the pack is plugged in."""
    return only(values) or None


def _chemistry(told: Told) -> Entry:
    """The chemistry whose usual thresholds lie nearest to those of the dump: a guess, and no more."""
    trail, look = ("battery", "chemistry"), "printed on the pack"
    paths: list[Path] = [("battery", key) for key in ("cell_empty_v", "cell_warn_v", "cell_full_v")]
    volts = [one for path in paths if isinstance(one := told_at(told.model, *path), int | float)]
    if len(volts) < len(paths):
        return blank(trail, look)
    apart = {name: _apart(chemistry, *volts) for name, chemistry in CHEMISTRIES.items()}
    near = [name for name, distance in apart.items() if distance == min(apart.values())]
    guess = f"{look}; {' or '.join(near)} is a guess by the dump's cell voltages, and no more"
    return blank(trail, guess, near[0], told.lines(*paths))


def _apart(chemistry: Chemistry, empty: float, warn: float, full: float) -> float:
    """How far three thresholds lie from those that are usual, in volts to a hundredth."""
    usual = (chemistry.least_load_v, chemistry.usual_warn_v, chemistry.full_v)
    return round(sum(abs(one - other) for one, other in zip((empty, warn, full), usual, strict=True)), 2)


def _order(values: Sequence[Json]) -> Json:
    """The first four channels: AETR."""
    return str(only(values) or "")[:4] or None


def _video_kind(values: Sequence[Json]) -> Json:
    """The kind of picture that the OSD is drawn on."""
    return {"chip": "analogue", "displayport": "digital"}.get(str(values[0]))


def _arm(told: Told) -> Entry:
    """The arming switch, if all slots that arm agree on it: the sheet has room for one."""
    slots = dict(branches(told.model, "modes", "arm"))
    lines: list[Entry] = []
    for key, look in _ARM:
        where: list[Path] = [("modes", "arm", slot, key) for slot in slots]
        told_by_slots = [value for slot in slots.values() if (value := told_at(slot, key)) is not None]
        values = [value for n, value in enumerate(told_by_slots) if value not in told_by_slots[:n]]
        taken = told.lines(*where)
        fitting = len(values) == 1 and fits(("radio", "arm", key), values[0])
        if fitting and not _upside_down(slots.values(), key):
            lines.append(Entry(key, values[0], taken=taken))
        else:
            several = "the dump has several that arm: " if len(values) > 1 else ""
            lines.append(blank(("radio", "arm", key), several + look, _example(key, slots.values()), taken))
    look = (
        "the switch on the radio that arms: its channel, and what it sends; the radio's own monitor shows it"
    )
    rest = blank(("radio", "arm", "rest_us"), "what the switch sends when it is left alone")
    return Entry("arm", inner=(*lines, rest), look=look)


def _example(key: str, slots: Iterable[Tree]) -> Json:
    """An example for one end of a range that goes with the other end, as far as that is told."""
    ends = [
        one
        for slot in slots
        for name in ("from_us", "to_us")
        if isinstance(one := told_at(slot, name), int | float)
    ]
    return {"from_us": max(500, min([1700, *ends])), "to_us": min(2500, max([2100, *ends]))}.get(key)


def _upside_down(slots: Iterable[Tree], key: str) -> bool:
    """Whether a lower end lies above an upper one, so that no sheet can hold the range."""
    ends = [(told_at(one, "from_us"), told_at(one, "to_us")) for one in slots]
    lows = [low for low, _ in ends if isinstance(low, int | float)]
    highs = [high for _, high in ends if isinstance(high, int | float)]
    return key != "channel" and bool(lows and highs) and max(lows) > min(highs)


_ARM = (
    ("channel", "the channel of the arming switch, counted from 1"),
    ("from_us", "the lowest value at which it arms"),
    ("to_us", "the highest value at which it arms"),
)
_NAMES: tuple[Part, ...] = (
    Fact("craft", "the name painted on the craft", ("identity.craft_name",)),
    Fact("class", "the kind of craft in a few words of your own", example="five-inch quad"),
)
_PROPELLER: tuple[Part, ...] = (Fact("propeller", "printed on the propeller, near its hub"),)
_BATTERY: tuple[Part, ...] = (
    _chemistry,
    Fact("cells", "printed on the pack: the cells in series", ("battery.cells",), _cells),
    Fact(
        "capacity_mah",
        "printed on the pack; a dump only says what its gauge reckons with",
        ("battery.capacity_mah",),
        _cells,
        sure=False,
    ),
    Fact("c_rating", "printed on the pack"),
    Fact("connector", "the pack's plug"),
    Fact("wire_awg", "printed on the pack's wire"),
)
_RADIO: tuple[Part, ...] = (
    Fact(
        "channel_order",
        "the order in which the radio sends the sticks: its own settings show it",
        ("receiver.channel_order",),
        _order,
    ),
)
_VIDEO: tuple[Part, ...] = (
    Fact("kind", "the video unit on the craft: analogue or digital?", ("osd.drive",), _video_kind),
    Fact("band_plan", "the unit's own menu: is its table of channels this one?", ("video.band",)),
    Fact("air_channel", "the unit's own menu or lamps", ("video.channel",)),
    Fact("ground_channel", "the goggles' or the screen's own menu; no dump knows it"),
    Fact("bandwidth_mhz", "the unit's manual or menu"),
    Fact(
        "power_mw", "the unit's own menu; what is allowed depends on country and licence", ("video.power_mw",)
    ),
    Fact("country", "where the craft is flown; ask the local authority what is allowed there"),
)
