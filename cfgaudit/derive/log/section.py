"""Figures about the flight log: section ``log`` of what rules see as ``derived``.

::

    bytes_s             what is written: records a second × bytes of each
    device_bytes_s      what the device takes
    budget_bytes        what a record may have at most, at the rate set
"""

from __future__ import annotations

from cfgaudit.derive.inputs import above_zero, number
from cfgaudit.derive.missing import Missing, Section
from cfgaudit.derive.tree import Tree, word


def log(model: Tree, build: Tree) -> Section:
    """The section, complete: what the inputs do not allow is Missing."""
    return {
        "on": word(model, "logging", "device") != "none",
        "bytes_s": written_bytes_s(model, build),
        "device_bytes_s": taken_bytes_s(build),
        "budget_bytes": budget_bytes(model, build),
    }


def written_bytes_s(model: Tree, build: Tree) -> float | Missing:
    """Records a second × bytes of each."""
    rate, size = (
        above_zero(model, "model", "logging", "rate_hz"),
        number(build, "build", "board", "log", "record_bytes"),
    )
    if isinstance(rate, Missing) or isinstance(size, Missing):
        return rate if isinstance(rate, Missing) else size
    return rate * size


def taken_bytes_s(build: Tree) -> float | Missing:
    """What the log's device takes: declared, or a page in the time that it takes to program."""
    page, ms = (above_zero(build, "build", "board", "log", key) for key in ("page_bytes", "page_ms"))
    if not isinstance(page, Missing) and not isinstance(ms, Missing):
        return round(page / ms * 1000, 1)
    return number(build, "build", "board", "log", "bytes_s")


def budget_bytes(model: Tree, build: Tree) -> float | Missing:
    """What a record may have at most, at the rate set."""
    rate, taken = above_zero(model, "model", "logging", "rate_hz"), taken_bytes_s(build)
    if isinstance(taken, Missing):
        return taken
    return rate if isinstance(rate, Missing) else round(taken / rate, 1)
