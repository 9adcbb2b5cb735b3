"""How leaves and their values are spoken of: units, names, one-breath groups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from cfgaudit.compare.difference import Difference
from cfgaudit.compare.nested import JOBS
from cfgaudit.model.model import HIDDEN, Leaf, Unknown
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import spoken

NOT_SAID = "not said"  # by the dump or its dialect: unknown, never "off"


# The last part of a key → what is written behind the number.
UNITS: Mapping[str, str] = {
    "v": " V",
    "hz": " Hz",
    "us": " µs",
    "mah": " mAh",
    "baud": " baud",
    "percent": " %",
    "s": " s",
    "deg": "°",
    "mw": " mW",
    "mhz": " MHz",
    "ma": " mA",
}

# Where the key alone would not say it well.
LABELS: Mapping[str, str] = {
    "battery.cell_full_v": "full at",
    "battery.cell_warn_v": "warns at",
    "battery.cell_empty_v": "empty at",
    "failsafe.delay_s": "waits",
    "failsafe.duration_s": "lasts",
    "failsafe.throttle_us": "holds throttle at",
    "firmware.board": "",
    "firmware.mcu": "chip",
    "gnss.update_hz": "updates",
}

# Keys of the vocabulary that are said in another way wherever they stand.
KEYS: Mapping[str, str] = {JOBS: "jobs", "rates_baud": "rate for"}

# Values that stand for a word.
SPECIAL: Mapping[str, Mapping[float | str, str]] = {
    "battery.cells": {0: "detect"},
    "failsafe.action": {"return_home": "return home"},
}

# yes and no are spoken as on and off here.
SWITCHES = ("sensors.", "arming.checks")


class Topic(Struct, frozen=True):
    """What leaves below these prefixes are spoken of as.

    ``subject`` may hold ``{1}``: the path's key with that index. ``skip`` keys of the path are in
    the subject already. ``together``: all its changes are one.
    """

    subject: str
    skip: int
    together: bool
    prefixes: tuple[str, ...]

    def covers(self, path: Path) -> bool:
        """Whether one of the prefixes leads to this leaf."""
        text = dotted(path)
        return any(text == prefix or text.startswith(f"{prefix}.") for prefix in self.prefixes)

    def rank(self, path: Path) -> int:
        """The order in which its leaves are said: that of the prefixes."""
        return next(n for n, prefix in enumerate(self.prefixes) if dotted(path).startswith(prefix))

    def named(self, path: Path) -> str:
        """The subject's name for this leaf."""
        return self.subject.format(*(key.replace("_", " ") if i else key for i, key in enumerate(path)))


# The first that covers a leaf counts.
TOPICS: Sequence[Topic] = (
    Topic("firmware", 1, True, ("firmware.name", "firmware.version", "firmware.built")),
    Topic("board", 1, True, ("firmware.board", "firmware.mcu")),
    Topic("sensor alignment", 2, True, ("sensors.alignment",)),
    Topic("video", 1, True, ("video.band", "video.channel", "video.frequency_mhz")),
    Topic("OSD", 1, True, ("osd.standard", "osd.columns", "osd.rows")),
    Topic("OSD", 1, False, ("osd",)),
    Topic("loop", 1, True, ("loop",)),
    Topic("firmware limits", 1, False, ("limits",)),
)
_ROW_TOPICS: Sequence[Topic] = (
    Topic("port {1}", 2, True, ("ports",)),
    Topic("pin {1}", 2, True, ("pin_setup",)),
    Topic("{1}", 2, False, ("identity", "sensors")),
    Topic("{1} pin", 2, False, ("pins",)),
)
_SECTION = Topic("{0}", 1, False, ())


def topic_of(path: Path) -> Topic:
    """The topic of a leaf; its section if the table names no other."""
    topics = (*TOPICS, *(_ROW_TOPICS if len(path) > 1 else ()))
    return next((topic for topic in topics if topic.covers(path)), _SECTION)


def label(path: Path, skip: int) -> str:
    """What a leaf is called within its subject: ``idle_percent`` → ``idle``."""
    chosen = LABELS.get(dotted(path))
    return chosen if chosen is not None else " ".join(_without_unit(key) for key in path[skip:])


def value_words(path: Path, value: object) -> str:
    """A value without its unit."""
    name = dotted(path)
    if isinstance(value, bool) and name.startswith(SWITCHES):
        return "on" if value else "off"
    if isinstance(value, int | float | str) and value in SPECIAL.get(name, ()):
        return SPECIAL[name][value]
    if value == () and path[-1] == JOBS:
        return "none"
    return spoken(value)


def with_unit(path: Path, value: object) -> str:
    """A value with the unit that its key ends in: ``3.5 V per cell``."""
    words = value_words(path, value)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return f"{words}{_unit(path)}" if is_number and words == spoken(value) else words


def step(one: Difference) -> str:
    """``3.5 → 3.6 V per cell``: the unit once if both sides carry it."""
    left, right = _side(one, one.before), _side(one, one.after)
    if left == right:
        return left
    unit = _unit(one.path)
    if unit and left.endswith(unit) and right.endswith(unit):
        left = left.removesuffix(unit)
    return f"{left} → {right}"


def piece(one: Difference, skip: int) -> str:
    """A leaf's change within its subject: ``rate 115200 → 57600 baud``."""
    return labelled(label(one.path, skip), step(one))


def lone_side(one: Difference, skip: int) -> str:
    """A leaf that one side alone says, within its subject: ``rate 115200 baud``."""
    leaf = one.before if isinstance(one.before, Leaf) else one.after
    return labelled(label(one.path, skip), _side(one, leaf))


def together(parts: Sequence[Difference], skip: int, shown: int) -> str:
    """Leaves told in one breath, in short where one side says none of them."""
    if len(parts) == 1 or not _is_one_sided(parts):
        return some([piece(one, skip) for one in parts], shown)
    said = some([lone_side(one, skip) for one in parts], shown)
    is_new = isinstance(parts[0].after, Leaf)
    return f"not said before; now {said}" if is_new else f"no longer said; was {said}"


def labelled(name: str, words: str) -> str:
    """``idle 4 %``; ``gyro lowpass 1: 250 Hz``, so that no two numbers touch."""
    if not name:
        return words
    return f"{name}: {words}" if name[-1].isdigit() else f"{name} {words}"


def some(parts: Sequence[str], shown: int) -> str:
    """The first few, and how many there are beyond: ``a, b and 3 more``."""
    if len(parts) <= shown + 1:  # "and 1 more" is no shorter than the one
        return ", ".join(parts)
    return f"{', '.join(parts[:shown])} and {len(parts) - shown} more"


def _is_one_sided(parts: Sequence[Difference]) -> bool:
    """Whether all of them were said on the same side only."""
    return any(
        all(isinstance(side, Unknown) for side in sides)
        for sides in ([one.before for one in parts], [one.after for one in parts])
    )


def _side(one: Difference, leaf: Leaf | Unknown) -> str:
    if isinstance(leaf, Unknown):
        return NOT_SAID
    if one.private:
        # both sides said: one word for the whole step
        return HIDDEN if Unknown in (type(one.before), type(one.after)) else f"changed {HIDDEN}"
    return with_unit(one.path, leaf.value)


def _unit(path: Path) -> str:
    # The last key, or the one before it: gyro_lowpass_hz.1, rates_baud.gnss. An element's name is no unit.
    keys = path[-1:] if path[:2] == ("osd", "elements") else path[-2:]
    key = next((key for key in reversed(keys) if _ending(key)), "")
    return UNITS[_ending(key)] + (" per cell" if key.startswith("cell_") else "") if key else ""


def _ending(key: str) -> str:
    """The unit's part of a key, "" if it has none."""
    ending = key.rpartition("_")[2] if "_" in key else ""
    return ending if ending in UNITS else ""


def _without_unit(key: str) -> str:
    if key in KEYS:
        return KEYS[key]
    ending = _ending(key)
    return (key.removesuffix(f"_{ending}") if ending else key).replace("_", " ")
