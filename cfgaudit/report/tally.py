"""How many of each answer an audit gives: counted once, for every report."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Level
from cfgaudit.report.cautions import with_consequences


class Tally(Struct, frozen=True):
    """Counts of an audit.

    ``findings`` counts by level, without those that merely follow from another; these are
    ``consequences``. ``accepted`` findings are in neither. ``holding`` counts rules, ``not_judged``
    judgements (a rule may lack something for one device and not for the next).
    """

    findings: dict[Level, int]
    consequences: int
    accepted: int
    holding: int
    not_judged: int


def tally(audit: Audit) -> Tally:
    """The counts of one audit."""
    levels = [finding.level for finding in audit.findings]
    return Tally(
        findings={level: levels.count(level) for level in Level},
        consequences=sum(1 for _ in with_consequences(audit.findings)) - len(audit.findings),
        accepted=len(audit.accepted),
        holding=len(audit.holding),
        not_judged=len(audit.not_judged),
    )
