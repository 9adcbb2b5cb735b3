"""Changes as calls for work at the bench."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.audit.bench.call import Call
from cfgaudit.compare.change import Change


def calls_of_changes(changes: Iterable[Change]) -> Iterator[Call]:
    """A call for each change."""
    for change in changes:
        yield Call(
            name=change.subject,
            text=f"{change.subject}: {change.text}",
            rules=(),
            paths=tuple(("model", *path) for path in change.paths),
            origins=tuple(dict.fromkeys(change.after or change.before)),
            effect=change.effect.removeprefix("after a "),
        )
