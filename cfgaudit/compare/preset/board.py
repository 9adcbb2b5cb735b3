"""Which lines are of something that the board does not have."""

from __future__ import annotations

from collections.abc import Callable

from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.model.sheet import Build

PORTS = "ports"


def absent_ports(before: Reading, sheet: Build) -> Callable[[Entry], bool]:
    """Whether a line is of a port that neither a full dump knows nor the board brings out.

    A sheet that says nothing of the board's ports, and a dump that does not tell all, leave no line out.
    """
    board = sheet.tree.get("board")
    ports = board.get(PORTS) if isinstance(board, dict) else None
    declared = ports if isinstance(ports, dict) else {}
    told = {path[1] for path in before.model.leaves if path[0] == PORTS and len(path) > 1}

    def is_absent(entry: Entry) -> bool:
        port = _port_of(entry)
        return port != "" and port not in told and port not in declared

    return is_absent if declared and before.extent is Extent.FULL else _nothing


def _nothing(entry: Entry) -> bool:
    return False


def _port_of(entry: Entry) -> str:
    """The port that a line is of; "" if it is of none."""
    keys = dict(entry.outer) | dict(zip(entry.form.key, entry.keys, strict=True))
    for gift in entry.form.gifts:
        path = gift.path
        if path.segments[0] == PORTS and path.holes[1:2] == (True,) and not entry.opens:
            return keys.get(path.segments[1], "")
    return ""
