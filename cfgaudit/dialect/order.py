"""In which order lines are typed: under the lines that open their scopes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

from cfgaudit.dialect.form import Scope
from cfgaudit.dialect.row import Desk, Row, opening

Told = TypeVar("Told")


def in_order(desk: Desk, lines: Sequence[tuple[Row, Told]]) -> Iterator[str | Told]:
    """Lines under the lines that open their scopes; those outside every scope first.

    What is told of each row comes back as it is; opening lines are texts. Raises Unwritable.
    """
    for scope in desk.reading.dialect.scopes:
        groups: dict[tuple[str, ...], list[tuple[Row, Told]]] = {}
        chosen = [line for row, line in lines if row.scope is scope and row.opens]
        for row, line in lines:
            if row.scope is scope and not row.opens:
                groups.setdefault(tuple(row.outer.values()), []).append((row, line))
        opened = ""
        for outer in sorted(groups):
            if scope.opens:
                opened = opening(desk, scope, groups[outer][0][0].outer)
                yield opened
            yield from (line for _, line in groups[outer])
        if chosen:
            yield from chosen
        elif opened and scope.form and scope.form.gifts:
            yield from _restored(desk, scope, opened)


def _restored(desk: Desk, scope: Scope, opened: str) -> Iterator[str]:
    """The selector that was last in the dump, since the last one says which profile is active."""
    for entry in reversed(desk.reading.entries):
        if entry.form is scope.form and scope.opens:
            last = scope.opens.render(entry.texts)
            last = f"[{last}]" if desk.reading.dialect.family == "sectioned" else last
            if last != opened:
                yield last
            return
