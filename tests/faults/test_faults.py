"""Faults sown at random: found by the right rule, at the changed line; harmless changes are let be."""

from __future__ import annotations

from random import Random

import pytest

from cfgaudit.audit.audit import audit
from tests.faults.catalogue import KINDS, Kind
from tests.faults.harmless import falsely_found, harmless
from tests.faults.measure import CRAFTS, FREE, RULES, Tally, faults, judged
from tests.faults.plant import Craft
from tests.faults.sheets import SHEETS, SheetKind, altered
from tests.faults.texts import TEXTS, TextKind


@pytest.mark.parametrize("kind", [*KINDS, *TEXTS], ids=lambda kind: kind.name)
def test_faults_of_a_kind_are_found_where_they_are(kind: Kind | TextKind) -> None:
    tally = Tally()
    for fault in faults(kind, 2, Random(7)):
        tally.add(fault.craft, fault.what, fault.line, kind.rules, judged(fault))
    assert tally.sown, "no craft can have this fault"
    if kind.name not in FREE:
        assert tally.missed == []
        assert tally.placed == tally.sown


@pytest.mark.parametrize("kind", SHEETS, ids=lambda kind: kind.name)
def test_faults_of_the_sheet_are_found_where_they_are(kind: SheetKind) -> None:
    tally = Tally()
    for craft in CRAFTS:
        some = list(altered(kind, craft))
        for one in Random(7).sample(some, min(2, len(some))):
            tally.add(one.craft, one.what, one.line, kind.rules, audit(craft.good, one.sheet, RULES))
    assert tally.sown, "no sheet can have this fault"
    assert tally.missed == []
    assert tally.placed == tally.sown


@pytest.mark.parametrize("craft", CRAFTS, ids=lambda craft: craft.name)
def test_what_hurts_nothing_is_let_be(craft: Craft) -> None:
    assert audit(craft.good, craft.sheet, RULES).findings == ()
    changes = list(harmless(craft, most=60))
    assert len(changes) > 50
    assert list(falsely_found(craft, changes)) == []


def test_every_rule_that_is_said_to_find_a_fault_is_one() -> None:
    known = {rule.id for rule in RULES}
    assert {id for kind in (*KINDS, *TEXTS, *SHEETS) for id in kind.rules} <= known
