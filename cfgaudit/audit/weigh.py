"""Rules that a user switches off or gives another level."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from cfgaudit.audit.finding import Level, Weighed
from cfgaudit.audit.rule import Rule
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.terms import LevelChange

OFF = "off"


def weighed(
    rules: Iterable[Rule], changes: Iterable[LevelChange]
) -> tuple[tuple[Rule, ...], tuple[Weighed, ...]]:
    """The rules with the levels that a user gives them, and what that changed.

    Raises Refusal on a rule that nobody may accept and that is switched off or lowered. A change of a
    rule that is not among them changes nothing.
    """
    by_id = {rule.id: rule for rule in rules}
    done = []
    for change in changes:
        rule = by_id.get(change.rule)
        if rule is None or change.level == rule.level:
            continue
        off = change.level == OFF
        if rule.never_accept and (off or Level(change.level).rank > rule.level.rank):
            what = f"{rule.id} cannot be {'switched off' if off else 'lowered'}: {rule.never_accept}"
            raise Refusal(what.removesuffix("."), "take it out", change.place)
        done.append(Weighed(rule.id, rule.level, change))
        if off:
            del by_id[rule.id]
        else:
            by_id[rule.id] = replace(rule, level=Level(change.level))
    return tuple(by_id.values()), tuple(done)
