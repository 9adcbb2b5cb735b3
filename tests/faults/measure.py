"""Measuring: faults sown into good dumps, and what an audit makes of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from random import Random

from msgspec import Struct, field

from cfgaudit.audit.audit import Audit, audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.finding import Finding
from cfgaudit.model.place import Place
from tests.faults.catalogue import KINDS, Kind
from tests.faults.plant import Craft, Planted, planted
from tests.faults.sheets import SHEETS, altered
from tests.faults.texts import TEXTS, TextKind

CRAFTS = tuple(map(Craft, ("otter", "heron", "vole")))
RULES = shipped_rules()

# Why not all of a kind are found, or at another line: a change may do as well as what it changes
FREE = {
    "an arming switch that is gone": "a line that is gone cannot be shown: the first of the modes is",
    "a pin's timer": "another timer of the pin may do as well",
    "a pin's DMA channel": "the timer's update request has channels of its own, and behind a switch any does",
    "an output for another motor": "the line of the output that its motor is left without is another one",
}


class Tally(Struct):
    """What came of one kind of fault."""

    sown: int = 0
    found: int = 0  # something was said that the good dump does not have
    right: int = 0  # by one of the rules that should
    placed: int = 0  # that points at the changed line
    findings: int = 0  # roots, consequences apart
    missed: list[str] = field(default_factory=list)
    others: Counter[str] = field(default_factory=Counter)

    def add(self, craft: str, what: str, line: int, rules: tuple[str, ...], outcome: Audit) -> None:
        """Count one fault: what was changed, and on which line."""
        roots = outcome.findings
        every = [one for root in roots for one in (root, *root.follows)]
        mine = [one for one in every if one.rule in rules]
        self.sown += 1
        self.found += bool(every)
        self.right += bool(mine)
        self.placed += any(_points_at(one, line) for one in mine)
        self.findings += len(roots)
        self.others.update(one.rule for one in roots if one.rule not in rules)
        if not mine:
            said = ", ".join(dict.fromkeys(one.rule for one in every)) or "nothing"
            self.missed.append(f"{craft}: {what}: {said}")


def _points_at(finding: Finding, line: int) -> bool:
    return any(
        isinstance(one.origin, Place) and one.origin.line == line
        for one in (*finding.found, *finding.declared)
    )


def faults(kind: Kind | TextKind, most: int, dice: Random) -> Iterator[Planted]:
    """Faults of one kind, at places and values drawn at random, as many in each craft at the most."""
    for craft in CRAFTS:
        if isinstance(kind, TextKind):
            some = list(kind.sow(craft, dice))
            yield from dice.sample(some, min(most, len(some)))
            continue
        changes = list(dict.fromkeys(kind.sow(craft, dice)))
        dice.shuffle(changes)
        sown = 0
        for path, value in changes:
            if sown < most and (fault := planted(craft, path, value)):
                sown += 1
                yield fault


def judged(fault: Planted) -> Audit:
    """What the audit says of a dump with a fault."""
    craft = next(one for one in CRAFTS if one.name == fault.craft)
    return audit(fault.reading, craft.sheet, RULES)


def measured(most: int, seed: int = 1) -> dict[str, Tally]:
    """Every kind of fault, sown and judged."""
    dice = Random(seed)
    found: dict[str, Tally] = {}
    for kind in (*KINDS, *TEXTS):
        tally = found.setdefault(kind.name, Tally())
        for fault in faults(kind, most, dice):
            tally.add(fault.craft, fault.what, fault.line, kind.rules, judged(fault))
    for sheets in SHEETS:
        tally = found.setdefault(f"{sheets.name} (sheet)", Tally())
        for craft in CRAFTS:
            some = list(altered(sheets, craft))
            for one in dice.sample(some, min(most, len(some))):
                outcome = audit(craft.good, one.sheet, RULES)
                tally.add(one.craft, one.what, one.line, sheets.rules, outcome)
    return found
