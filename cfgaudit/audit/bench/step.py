"""A step at the bench: plain data that the lists for people are drawn from."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.audit.bench.call import Call


class Stage(Struct, frozen=True):
    """A part of the work with one state of power. ``note`` is what holds for all of its steps."""

    number: int
    title: str
    note: str


class Step(Struct, frozen=True):
    """What to do with hands and eyes, what is then to be seen, and what it means if it is not.

    ``rows`` are the things that it is done to, one by one, in this order; ``lines`` what is to be
    typed or pasted for it. ``calls`` say why; a step that is always done may have none.
    """

    name: str
    stage: Stage
    do: str
    see: str
    if_not: str
    rows: tuple[str, ...]
    lines: tuple[str, ...]
    calls: tuple[Call, ...]
