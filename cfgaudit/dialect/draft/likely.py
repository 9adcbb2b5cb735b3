"""What rows are likely to be by their looks, where nothing has settled it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence

from cfgaudit.dialect.draft import look
from cfgaudit.dialect.draft.group import Place, Question, Table

_Looks = Callable[[Sequence[str]], bool]


def likely(tables: Sequence[Table], settled: Collection[Place]) -> Iterator[Question]:
    """Rows that look like ports, switch positions or pins, each kind with the lesson to begin with."""
    free = [one for one in tables if not any(field.place in settled for field in one.fields)]
    kinds: tuple[tuple[str, _Looks, int, str], ...] = (
        ("serial ports (bit rates)", look.rates, 1, "'ports.UART1.functions += telemetry'"),
        ("switch positions (pairs of pulses)", look.pulses, 2, "'modes.arm.1.from_us = 1750'"),
        ("pins", look.pins, 1, "'outputs.1.pin = PB6'"),
    )
    for what, looks, count, fact in kinds:
        rows = tuple(one.label for one in free if _columns(one, looks) >= count)
        if rows:
            yield Question(
                f"which rows are {what}", rows, f"change one on purpose, and teach it such as {fact}"
            )


def _columns(table: Table, looks: _Looks) -> int:
    return sum(looks([*field.texts.values()]) for field in table.fields)
