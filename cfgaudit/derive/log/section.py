"""Figures about the flight log: section ``log`` of what rules see as ``derived``.

::

    bytes_s             what is written: records a second × bytes of each
    device_bytes_s      what the device takes
    budget_bytes        what a record may have at most, at the rate set
"""

from __future__ import annotations

from cfgaudit.derive.missing import Missing, Section
from cfgaudit.derive.tree import Tree, told, word


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
        _number(model, "model", "logging", "rate_hz"),
        _number(build, "build", "board", "log", "record_bytes"),
    )
    if isinstance(rate, Missing) or isinstance(size, Missing):
        return rate if isinstance(rate, Missing) else size
    return rate * size


def taken_bytes_s(build: Tree) -> float | Missing:
    """What the log's device takes: declared, or a page in the time that it takes to program."""
    page, ms = told(build, "board", "log", "page_bytes"), told(build, "board", "log", "page_ms")
    if isinstance(page, int | float) and isinstance(ms, int | float):
        return round(page / ms * 1000, 1)
    return _number(build, "build", "board", "log", "bytes_s")


def budget_bytes(model: Tree, build: Tree) -> float | Missing:
    """What a record may have at most, at the rate set."""
    rate, taken = _number(model, "model", "logging", "rate_hz"), taken_bytes_s(build)
    if isinstance(taken, Missing):
        return taken
    return rate if isinstance(rate, Missing) else round(taken / rate, 1)


def _number(tree: Tree, root: str, *keys: str) -> float | Missing:
    value = told(tree, *keys)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    return Missing((".".join((root, *keys)),))
