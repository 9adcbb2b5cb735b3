"""A fresh dump held against a recorded baseline: what drifted, and what that does to the audit."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from msgspec import Struct

from cfgaudit.audit.finding import Audit
from cfgaudit.baseline.facts import Facts, read_facts
from cfgaudit.baseline.sealed import sealed
from cfgaudit.compare.blame import Judged, judged_apart
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Reading, Slot
from cfgaudit.dialect.seal import Sealer, key_of


class Drift(Struct, frozen=True):
    """What is not as it was recorded.

    ``sealed_otherwise`` are private settings of which nobody can say whether they changed: their seals
    were made with another key, and they are not among the changes.
    """

    facts: Facts
    changes: Comparison
    sealed_otherwise: tuple[str, ...]
    before: Audit
    after: Audit
    findings: Judged

    @property
    def same(self) -> bool:
        """Whether the fresh dump says what was recorded."""
        return not self.changes.changes


def drift(recorded: Reading, fresh: Reading, sealer: Sealer, judge: Callable[[Reading], Audit]) -> Drift:
    """Compare a fresh dump with a baseline, private values by their seals."""
    then, now = sealed(recorded, sealer), sealed(fresh, sealer)
    other = _otherwise(then, sealer)
    was, has = judge(recorded), judge(fresh)
    return Drift(
        read_facts(one.text for one in recorded.dump.statements),
        compare(then, _without(now, then, other)),
        tuple(dict.fromkeys(then.in_force[at].label for at in other)),
        was,
        has,
        judged_apart(was, has),
    )


def _otherwise(recorded: Reading, sealer: Sealer) -> tuple[Slot, ...]:
    """The lines of a baseline with a seal of another key."""
    return tuple(
        at
        for at, entry in recorded.in_force.items()
        if any((key := key_of(text)) and key != sealer.name for text in entry.texts.values())
    )


def _without(fresh: Reading, recorded: Reading, slots: Iterable[Slot]) -> Reading:
    """The fresh configuration with the baseline's word on some lines."""
    return laid_over(fresh, (recorded.in_force[at] for at in slots))
