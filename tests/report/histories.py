"""A history as it is reported, every kind of event in it."""

from __future__ import annotations

from cfgaudit.baseline.history import ANOTHER, Event, What
from cfgaudit.baseline.log import NOT_COMMITTED, Commit, Log, Version

_BY = "Wren Alder"


def _commit(digit: int, subject: str) -> Commit:
    return Commit(f"{digit}" * 40, (f"{digit - 1}" * 40,), f"2026-03-0{digit}T12:00:00+01:00", _BY, subject)


_WARN = ("battery warns at", "volts.warn")
_PATH = (("battery", "cell_warn_v"),)
COMMITS = [
    _commit(n, subject) for n, subject in ((1, "begin"), (2, "on the bench"), (3, "oops"), (4, "tidied"))
]
LOG = Log(tuple(Version(one, ("b",), "a", "otter.txt") for one in reversed(COMMITS)), frozenset({"1" * 40}))
EVENTS = (
    Event(NOT_COMMITTED, What.CHANGED, *_WARN, "3.45 V per cell", "3.4 V per cell", False, _PATH, ""),
    Event(
        COMMITS[3], What.CHANGED, "motor 3 pin", "out 3", "PC8", "PC9", False, (("outputs", "3", "pin"),), ""
    ),
    Event(COMMITS[3], What.CHANGED, "pilot name", "pilot.called", "(private, not shown)", ANOTHER, True),
    Event(COMMITS[2], What.UNREADABLE, after="no dialect knows this dump"),
    Event(COMMITS[2], What.GONE),
    Event(COMMITS[1], What.CHANGED, *_WARN, "not said", "3.45 V per cell", False, _PATH, "tired packs"),
    Event(COMMITS[0], What.FIRST, *_WARN, "not said", "3.5 V per cell", False, _PATH, "as built"),
    *(
        Event(COMMITS[0], What.OLDEST, f"motor {n} pin", f"out {n}", "not said", f"PB{n}")
        for n in range(1, 5)
    ),
)
EVERY = ("battery", "baselines/otter.txt", "", LOG, EVENTS)
SINCE = ("", "baselines/otter.txt", "flew-well", LOG, EVENTS[:3])
