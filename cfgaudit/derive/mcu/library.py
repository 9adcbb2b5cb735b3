"""Chips from the open device library: modm-devices, drawn from the vendor's own data (MPL-2.0).

Reading a chip takes the library a twentieth of a second and more; what comes of it is kept for the
next run. Without a chip's name nothing of this is loaded.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from cfgaudit.derive.mcu.chip import Chip, Lane, lane
from cfgaudit.kept import keep, recall

_PACKAGE = "modm_devices"
_NAME = re.compile(r"stm32([a-z][a-z0-9])([a-z0-9]{2})([a-z0-9]*)")
_SERIAL = {"usart": "UART", "uart": "UART", "lpuart": "LPUART"}
_ENDING = ".chip.json"

Node = Mapping[str, Any]


@cache
def chip(name: str) -> Chip | None:
    """A chip by the name printed on it, whole or its beginning; None if the library has none such."""
    plain = re.sub(r"[^a-z0-9]", "", name.lower())
    plain = plain if plain.startswith("stm32") else f"stm32{plain}"
    spec = find_spec(_PACKAGE)
    if not _NAME.fullmatch(plain) or not spec or not spec.submodule_search_locations:
        return None
    root = Path(next(iter(spec.submodule_search_locations))) / "resources"
    catalog = root / "catalog.xml"
    if not catalog.is_file():
        return None
    kept = recall(catalog, f"-{plain}{_ENDING}")
    if isinstance(kept, dict):
        return _recalled(kept)
    made = _read(plain, root / "devices" / "stm32")
    if made:
        keep(catalog, f"-{plain}{_ENDING}", _data(made))
    return made


# From the library


def _read(plain: str, folder: Path) -> Chip | None:
    """The chip of which a name is the beginning; of several packages the one with the most pins."""
    near = [(one, file) for file in _files(plain, folder) for one in _devices(file, plain)]
    # of a chip with two cores each is listed: chip@core
    found = [(one, file) for one, file in near if one.partname.partition("@")[0] == plain] or near
    if not found:
        return None
    packages = {one.identifier["pin"]: (one, file) for one, file in found}
    each = [(one.properties, one.partname, file) for one, file in packages.values()]
    properties, part, file = max(each, key=lambda one: len(_drivers(one[0], "gpio")[0]["gpio"]))
    return Chip(
        name=min(part.partition("@")[0], plain, key=len).upper(),
        source=f"modm-devices, from the vendor's data: {file.name}",
        pins=_pins(_drivers(properties, "gpio")[0]),
        channels=_channels(properties) or None,
        ports=frozenset(_ports(properties)),
        whole=len(packages) == 1,
    )


def _files(plain: str, folder: Path) -> Iterator[Path]:
    """The files of the line: ``stm32f4-05_07_15_17.xml`` has the 05."""
    found = _NAME.fullmatch(plain)
    assert found
    for file in sorted(folder.glob(f"stm32{found[1]}-*.xml")):
        if found[2] in file.stem.split("-")[1].split("_"):
            yield file


def _devices(file: Path, plain: str) -> Iterator[Any]:
    from modm_devices.parser import DeviceParser

    for one in DeviceParser().parse(str(file)).get_devices():
        if one.partname.startswith(plain) or plain.startswith(one.partname):
            yield one


def _drivers(properties: Node, name: str) -> list[Any]:
    return [one for one in properties["driver"] if one["name"] == name]


def _ports(properties: Node) -> Iterator[str]:
    for driver, called in _SERIAL.items():
        for one in _drivers(properties, driver):
            yield from (f"{called}{number}" for number in one.get("instance", ("1",)))


def _pins(gpio: Node) -> dict[str, tuple[Lane, ...]]:
    """Pin → its timers' channels; of lines that move signals in groups, those of all groups."""
    pins: dict[str, list[Lane]] = {f"P{one['port'].upper()}{one['pin']}": [] for one in gpio["gpio"]}
    for one in gpio["gpio"]:
        for signal in one.get("signal", ()):
            if signal.get("driver") == "tim" and (made := _lane(signal, signal)):
                pins[f"P{one['port'].upper()}{one['pin']}"].append(made)
    for remap in gpio.get("remap", ()):
        for group in remap.get("group", ()) if remap.get("driver") == "tim" else ():
            for signal in group.get("signal", ()):
                pin = f"P{signal.get('port', '').upper()}{signal.get('pin', '')}"
                if pin in pins and (made := _lane(remap, signal)) and made not in pins[pin]:
                    pins[pin].append(made)
    return {pin: tuple(sorted(found)) for pin, found in pins.items()}


def _lane(of: Node, signal: Node) -> Lane | None:
    return lane(f"TIM{of.get('instance', 1)}_{signal.get('name', '')}", int(signal.get("af", -1)))


def _channels(properties: Node) -> dict[str, tuple[str, ...]]:
    """DMA request → the channels that serve it, in every way in which the lines have them."""
    made: dict[str, dict[str, None]] = {}
    for driver, sign in (("dma", ""), ("bdma", "B")):
        for one in _drivers(properties, driver):
            for request, channel in (*_fixed(one, sign), *_muxed(one, sign)):
                made.setdefault(request, {})[channel] = None
    return {request: tuple(channels) for request, channels in made.items()}


def _fixed(driver: Node, sign: str) -> Iterator[tuple[str, str]]:
    """Streams and channels that each serve a few requests."""
    for controller in (*driver.get("streams", ()), *driver.get("channels", ())):
        for one in (*controller.get("stream", ()), *controller.get("channel", ())):
            name = f"{sign}{controller.get('instance', 1)}/{one['position']}"
            inner = (*one.get("channel", ()), *one.get("request", ()))
            for source in (one, *inner):
                yield from ((_request(signal), name) for signal in source.get("signal", ()))


def _muxed(driver: Node, sign: str) -> Iterator[tuple[str, str]]:
    """Channels behind a switch, each of which serves any request."""
    every = [
        f"{sign}{'/' if sign else one['dma-instance'] + '/'}{one['dma-channel']}"
        for mux in driver.get("mux-channels", ())
        for one in mux["mux-channel"]
    ]
    for listed in driver.get("requests", ()):
        for request in listed["request"]:
            for signal in request.get("signal", ()):
                yield from ((_request(signal), channel) for channel in every)


def _request(signal: Node) -> str:
    """``TIM3_CH1``, ``UART4_RX``, ``SPI1_TX``, ``ADC1``, ``SDIO``."""
    part = _SERIAL.get(signal["driver"], signal["driver"].upper())
    number = signal.get("instance", "1" if signal["driver"] == "lpuart" else "")
    name = signal.get("name", "")
    return f"{part}{number}_{name.upper()}" if name else f"{part}{number}"


# What is kept


def _data(made: Chip) -> dict[str, Any]:
    pins, channels = made.pins or {}, made.channels or {}
    return {
        "name": made.name,
        "source": made.source,
        "whole": made.whole,
        "ports": sorted(made.ports or ()),
        "pins": {pin: [[one.name, one.alternate] for one in lanes] for pin, lanes in pins.items()},
        "channels": {request: list(some) for request, some in channels.items()},
    }


def _recalled(kept: Node) -> Chip | None:
    """A chip out of what was kept; None if that is nothing of ours."""
    try:
        pins = {pin: tuple(_found(*one) for one in lanes) for pin, lanes in kept["pins"].items()}
        channels = {str(request): tuple(map(str, some)) for request, some in kept["channels"].items()}
        ports = frozenset(map(str, kept["ports"]))
        return Chip(
            str(kept["name"]), str(kept["source"]), pins, channels or None, ports, kept["whole"] is True
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        return None


def _found(name: str, alternate: int) -> Lane:
    made = lane(name, int(alternate))
    if made is None:
        raise ValueError(name)
    return made
