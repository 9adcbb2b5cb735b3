"""Every derived figure with its sum and its source, subject by subject."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module

from cfgaudit.derive.quantity import Table
from cfgaudit.derive.tree import Tree

# Subject → the module whose ``table(model, build)`` tells its figures, in the order of the report.
SUBJECTS: Mapping[str, str] = {
    "uart": "cfgaudit.derive.uart.table",
    "line": "cfgaudit.derive.line.table",
    "mcu": "cfgaudit.derive.mcu.table",
    "rotor": "cfgaudit.derive.rotor.table",
    "mixer": "cfgaudit.derive.mixer.table",
    "alignment": "cfgaudit.derive.alignment.table",
    "osd": "cfgaudit.derive.osd_table",
    "power": "cfgaudit.derive.power.table",
    "log": "cfgaudit.derive.log.table",
    "video": "cfgaudit.derive.video.table",
}


def tables(model: Tree, build: Tree, wanted: tuple[str, ...] = ()) -> Iterator[Table]:
    """The tables of the wanted subjects; of all if none is named."""
    for subject, module in SUBJECTS.items():
        if not wanted or subject in wanted:
            yield import_module(module).table(model, build)
