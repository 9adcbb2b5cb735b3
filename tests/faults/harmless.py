"""Changes that hurt nothing: tuning, names of one's own, ports to which nothing is soldered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from random import Random

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value
from tests.faults.plant import Craft, Planted, planted, rewritten

_RULES = shipped_rules()


def harmless(craft: Craft, seed: int = 1, most: int = 150) -> Iterator[Planted]:
    """The good dump with one thing changed that no rule may mind."""
    dice = Random(seed)
    changes = [*_tuning(craft), *_spare_ports(craft), *_unnamed(craft)]
    dice.shuffle(changes)
    sown = 0
    for path, value in changes:
        if sown < most and (fault := planted(craft, path, value)):
            sown += 1
            yield fault
    yield Planted(
        craft.name, "a remark", rewritten(craft, {}, f"{craft.good.dialect.remark} tried on a calm day\n"), 0
    )


def _tuning(craft: Craft) -> Iterator[tuple[Path, Value]]:
    for root in ("profiles", "rates"):
        for path in craft.under(root, "*", "*"):
            value = craft.told[path]
            if isinstance(value, bool):
                yield path, not value
            elif isinstance(value, int | float):
                yield from ((path, value + n) for n in (1, -1, 2, 5))


def _spare_ports(craft: Craft) -> Iterator[tuple[Path, Value]]:
    soldered = {device.get("port") for device in craft.devices}
    for path in craft.under("ports", "*"):
        if path[1] not in {*soldered, "USB"} and craft.told.get(("ports", path[1], "functions")) == ():
            if path[-1] == "rate_baud" or "rates_baud" in path:
                yield from ((path, rate) for rate in (9600, 57600, 115200))
            elif path[-1] == "inverted":
                yield path, not craft.told[path]
            elif path[-1] == "duplex":
                yield path, "half"


def _unnamed(craft: Craft) -> Iterator[tuple[Path, Value]]:
    """Hidden elements anywhere: what is not shown is in nobody's way."""
    for path in craft.under("osd", "elements", "*", "shown"):
        if craft.told[path] is False:
            yield from (((*path[:3], "column"), n) for n in (0, 7, 20))
            yield from (((*path[:3], "row"), n) for n in (0, 5, 11))
    yield ("identity", "pilot_name"), "somebody"


def falsely_found(craft: Craft, changes: Iterable[Planted]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The harmless changes that the audit minds, and the rules that do."""
    for one in changes:
        outcome = audit(one.reading, craft.sheet, _RULES)
        if outcome.findings:
            yield one.what, tuple(found.rule for found in outcome.findings)
