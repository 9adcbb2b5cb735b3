"""The jobs a serial port can carry, and which of them get along on one line.

Basis: common practice of the trade. Two jobs share a line only if both speak one protocol or one
of them is the other's way back (a receiver's telemetry); everything else garbles both.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

# Jobs that only one port at a time may carry.
SOLE = frozenset({"receiver", "displayport", "flight-log"})

_TOGETHER = frozenset(
    frozenset(pair)
    for pair in (
        ("receiver", "telemetry"),  # the receiver's own, sent back over its link
        ("msp", "displayport"),  # DisplayPort travels inside MSP
        ("msp", "vtx-control"),
        ("displayport", "vtx-control"),  # a digital unit is steered over the line that it draws from
        ("console-link", "msp"),
        ("console-link", "mavlink"),
        ("mavlink", "telemetry"),
    )
)

# What a device may do over its line beside its job, without being declared for it.
_BESIDE: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "receiver": frozenset({"telemetry"}),
        "displayport": frozenset({"msp", "vtx-control"}),
        "telemetry": frozenset({"mavlink"}),
        "mavlink": frozenset({"telemetry"}),
    }
)

# Doors for programs that come and go: nothing needs to be soldered to them.
_DOORS = frozenset({"console-link"})
_USB_DOORS = frozenset({"console-link", "msp", "mavlink"})


def may_share(one: str, other: str) -> bool:
    """Whether two jobs get along on one line."""
    return one == other or frozenset((one, other)) in _TOGETHER


def clashing(jobs: Iterable[str]) -> tuple[str, ...]:
    """Those jobs of one port that do not get along with another of them, in the order given."""
    jobs = tuple(jobs)
    return tuple(job for job in jobs if not all(may_share(job, other) for other in jobs))


def beside(job: str) -> frozenset[str]:
    """What a device with this job may also do over its line."""
    return _BESIDE.get(job, frozenset())


def is_door(job: str, port: str) -> bool:
    """Whether a port may carry the job with nothing soldered to it."""
    return job in (_USB_DOORS if port == "USB" else _DOORS)
