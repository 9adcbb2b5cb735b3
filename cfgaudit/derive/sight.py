"""Figures about what the pilot sees: section ``sight`` of what rules see as ``derived``.

::

    must.NAME           what a pilot must see: battery, link, warnings, timer:
      spoken            in words
      shown             one of the elements that tell it is shown
      elements          those elements, in words
      to_show           the first of them that the firmware has
    element.NAME        every element that is shown and tells of a sensor:
      spoken            its name in words
      needs             any of these sensors, in words
      there             one of them is on board
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.osd import called
from cfgaudit.derive.sense import sensor
from cfgaudit.derive.tree import Tree, branch, told

# What a pilot must see, and the elements that tell it: common practice
_MUST: Mapping[str, tuple[str, tuple[str, ...]]] = MappingProxyType(
    {
        "battery": ("the battery's voltage", ("battery_voltage", "cell_voltage")),
        "link": ("the quality of the radio link", ("link_quality", "signal_strength")),
        "warnings": ("the firmware's warnings", ("warnings",)),
        "timer": ("the time in the air", ("flight_timer",)),
    }
)
# Element → the sensors of which any will do
_NEEDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "speed": ("gnss",), "home_distance": ("gnss",), "home_direction": ("gnss",), "satellites": ("gnss",),
        "latitude": ("gnss",), "longitude": ("gnss",),
        "altitude": ("barometer", "gnss"), "climb_rate": ("barometer", "gnss"),
        "heading": ("magnetometer", "gnss"), "ground_height": ("rangefinder",),
        "current": ("current",), "used_mah": ("current",), "power": ("current",), "efficiency": ("current",),
        "esc_temperature": ("esc",),
    }
)  # fmt: skip
# Every element that a pilot must see, or that tells of a sensor
ELEMENTS: tuple[str, ...] = (*(one for _, some in _MUST.values() for one in some), *_NEEDS)
_SPOKEN: Mapping[str, str] = MappingProxyType(
    {"gnss": "a position receiver", "barometer": "a barometer", "magnetometer": "a magnetometer",
     "rangefinder": "a rangefinder", "current": "a current sensor", "esc": "an ESC that reports"}
)  # fmt: skip


def sight(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    elements = branch(model, "osd", "elements")
    if not elements:
        missing = Missing(("model.osd.elements",))
        return {"must": missing, "element": missing}
    return {
        "must": {name: _must(spoken, some, elements) for name, (spoken, some) in _MUST.items()},
        "element": dict(_elements(elements, model, build)),
    }


def _must(spoken: str, some: tuple[str, ...], elements: Tree) -> Figure:
    known = [one for one in some if isinstance(told(elements, one, "shown"), bool)]
    unknown = Missing((f"model.osd.elements.{some[0]}.shown",))
    return {
        "spoken": spoken,
        "shown": any(told(elements, one, "shown") is True for one in known) if known else unknown,
        "elements": [called(one) for one in some],
        "to_show": known[0] if known else unknown,
    }


def _elements(elements: Tree, model: Tree, build: Tree) -> Iterator[tuple[str, Figure]]:
    for name, needs in _NEEDS.items():
        if told(elements, name, "shown") is True:
            found = [sensor(one, model, build) for one in needs]
            unknown = next((one for one in found if isinstance(one, Missing)), None)
            there: Figure = True if True in found else unknown or False
            yield (
                name,
                {
                    "spoken": called(name),
                    "needs": " or ".join(_SPOKEN[one] for one in needs),
                    "there": there,
                },
            )
