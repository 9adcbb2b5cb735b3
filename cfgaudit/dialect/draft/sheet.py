"""What drafting takes from a build sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.model.value import Json

Tree = Mapping[str, Json]


def at(tree: Tree, *path: str) -> Json:
    """What stands at a path of the sheet, or None."""
    node: Json = dict(tree)
    for key in path:
        node = node.get(key) if isinstance(node, dict) else None
    return node


def block(tree: Tree, *path: str) -> dict[str, Json]:
    """The mapping at a path, or an empty one."""
    found = at(tree, *path)
    return found if isinstance(found, dict) else {}


def text(tree: Tree, *path: str) -> str:
    """The text at a path, or ""."""
    found = at(tree, *path)
    return found if isinstance(found, str) else ""


def number(tree: Tree, *path: str) -> int | None:
    """The whole number at a path, or None."""
    found = at(tree, *path)
    if isinstance(found, float) and found.is_integer():
        return int(found)
    return found if isinstance(found, int) and not isinstance(found, bool) else None


def devices(tree: Tree) -> Iterator[Tree]:
    """The devices of the sheet."""
    listed = tree.get("devices")
    yield from (one for one in (listed if isinstance(listed, list) else ()) if isinstance(one, dict))


def jobs(tree: Tree) -> dict[str, tuple[str, ...]]:
    """The jobs that the declared devices need, by port."""
    found: dict[str, tuple[str, ...]] = {}
    for device in devices(tree):
        port, job = text(device, "port"), text(device, "job")
        if port and job and job not in found.get(port, ()):
            found[port] = (*found.get(port, ()), job)
    return found


def port_numbers(tree: Tree) -> dict[int, str]:
    """The firmware's own numbers of the board's ports, as far as the sheet tells them."""
    told = {port: number(tree, "board", "ports", port, "number") for port in block(tree, "board", "ports")}
    return {own: port for port, own in told.items() if own is not None}


def rates(tree: Tree) -> dict[str, tuple[int, bool]]:
    """The rate of each port with a device that tells one, and whether the device is the receiver."""
    found: dict[str, tuple[int, bool]] = {}
    for device in devices(tree):
        rate = number(device, "rate_baud")
        if rate is not None and (port := text(device, "port")):
            found[port] = (rate, text(device, "job") == "receiver")
    return found


def motor_pins(tree: Tree) -> dict[int, str]:
    """The pin of each motor, by the pad that it is soldered to."""
    pads = block(tree, "board", "motor_pads")
    found = {}
    for name in block(tree, "motors", "places"):
        pin = pads.get(text(tree, "motors", "places", name, "pad"))
        if name.isdecimal() and isinstance(pin, str):
            found[int(name)] = pin
    return found
