"""What a change can do to a person, a wire or a flight: a table, read by the longest prefix."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfgaudit.compare.change import Weight
from cfgaudit.model.path import Path, dotted

WEIGHTS: Mapping[str, Weight] = {
    # Propellers may turn, or the craft may not do what the sticks or the lost link should make it do.
    "motors": Weight.HURT,
    "outputs": Weight.HURT,
    "mixer": Weight.HURT,
    "arming": Weight.HURT,
    "failsafe": Weight.HURT,
    "modes.arm": Weight.HURT,
    "modes.flip_over": Weight.HURT,  # spins motors while the craft lies on its back
    "receiver.channel_order": Weight.HURT,  # throttle on another stick
    "sensors.alignment": Weight.HURT,  # a craft that takes itself for tilted flips on take-off
    # Which part talks to which, over what.
    "ports": Weight.WIRING,
    "receiver": Weight.WIRING,
    "osd.drive": Weight.WIRING,
    "osd.standard": Weight.WIRING,
    "osd.columns": Weight.WIRING,
    "osd.rows": Weight.WIRING,
    "gnss": Weight.WIRING,
    "video": Weight.WIRING,
    "pins": Weight.WIRING,
    "pin_setup": Weight.WIRING,
    "logging.device": Weight.WIRING,
    "battery.voltage_from": Weight.WIRING,
    "battery.current_from": Weight.WIRING,
    "firmware.board": Weight.WIRING,  # another board, other pins
    "firmware.mcu": Weight.WIRING,
    # What the pilot feels or relies on in the air.
    "firmware": Weight.FLIGHT,
    "firmware.built": Weight.REST,
    "loop": Weight.FLIGHT,
    "filters": Weight.FLIGHT,
    "profiles": Weight.FLIGHT,
    "rates": Weight.FLIGHT,
    "sensors": Weight.FLIGHT,
    "modes": Weight.FLIGHT,
    "gnss.home": Weight.FLIGHT,  # where a way home ends
    # Thresholds decide when a pilot is told to land. The pilot still flies and decides, so they
    # are not among what hurts: that group must stay short enough to be read to its end.
    "battery": Weight.FLIGHT,
}

_RANKS: Mapping[Weight, int] = {weight: rank for rank, weight in enumerate(Weight)}


def rank(weight: Weight) -> int:
    """0 is the weightiest."""
    return _RANKS[weight]


def weight_of(path: Path) -> Weight:
    """The weight of a change of this leaf; what the table does not name is the rest."""
    named = (WEIGHTS.get(dotted(path[:end])) for end in range(len(path), 0, -1))
    return next((weight for weight in named if weight), Weight.REST)


def weightiest(paths: Iterable[Path]) -> Weight:
    """The weight of a change that touches several leaves: that of the weightiest."""
    return min(map(weight_of, paths), key=rank, default=Weight.REST)
