"""The cautions that reports carry: what can hurt, and what to do before anything is tried.

A rule names a hazard by its word; the mark and the sentence for it stand here, once, so that every
report says the same. No sentence here, and none in any report, says that an aircraft is safe.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding


class Caution(Struct, frozen=True):
    """A few words to stand beside a finding, and the sentence for the report's foot."""

    mark: str
    sentence: str


HAZARDS: Mapping[str, Caution] = MappingProxyType(
    {
        "propellers": Caution(
            "propellers off",
            "A motor may start, or turn another way than you expect: take every propeller off before "
            "you test, and keep them off until each motor has started, turned and stopped as it should.",
        ),
        "meter": Caution(
            "meter first",
            "Wiring or a battery is involved: check polarity and voltage with a meter before you "
            "connect anything.",
        ),
        "radio": Caution(
            "ask the authority",
            "Radio power or frequency is involved: what is allowed depends on the country and the "
            "licence, and the local authority's answer counts, not this report's.",
        ),
    }
)

STANDING = (
    "Before any test: propellers off.",
    "Before connecting a battery: polarity and voltage by meter.",
    "Never leave a charging lithium battery alone.",
    "Local codes and licensed practice come first.",
    "Radio: what is allowed depends on the country and the licence; ask the local authority.",
)
AUDIT_LIMIT = "A clean audit of text is not a statement that the aircraft is safe to fly."
BENCH_LIMIT = "A list that has been worked through is not a statement that the aircraft is safe to fly."
CARRY_LIMIT = "A plan made from text is not a statement that the aircraft is safe to fly."
DIFF_LIMIT = "A comparison of text is not a statement that the aircraft is safe to fly."


def caution_for(hazard: str) -> Caution:
    """The caution for a hazard word; a word from a rule of the user's own still gets one."""
    return HAZARDS.get(hazard) or Caution(
        f"can hurt: {hazard}", f"A rule says that this can hurt ({hazard}): read its reason before you test."
    )


def hazards_in(findings: Iterable[Finding]) -> tuple[str, ...]:
    """The hazard words among findings and what follows from them, each once, known ones first."""
    present = {one.hazard for one in with_consequences(findings) if one.hazard}
    known = [word for word in HAZARDS if word in present]
    return (*known, *sorted(present - set(known)))


def told(audit: Audit) -> Iterator[Finding]:
    """All findings that a report tells: those that count, and the accepted ones, which can hurt as well."""
    yield from audit.findings
    yield from (one.finding for one in audit.accepted)


def with_consequences(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Each finding, and after it all that follows from it."""
    for finding in findings:
        yield finding
        yield from with_consequences(finding.follows)
