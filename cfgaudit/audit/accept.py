"""Findings that a user accepts, set apart from the others; and what becomes of acceptances that do nothing.

An acceptance covers the findings of its rule at its place and nothing else. What merely follows from
an accepted finding is not accepted with it: it is found like any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from cfgaudit.audit.finding import Accepted, Finding, NotJudged, Unheeded, Unused
from cfgaudit.audit.judge import Fails
from cfgaudit.audit.rule import Rule
from cfgaudit.model.terms import Acceptance

SHOWN = 3  # other places of a rule's findings that are named
_NOTHING = "nothing is left to accept, take the entry out"


def set_apart(
    failures: Iterable[Fails], entries: Iterable[Acceptance], rules: Iterable[Rule], today: date
) -> tuple[list[Fails], list[Accepted]]:
    """The failures that are left, and those that one of the entries accepts today."""
    allowed = {rule.id for rule in rules if not rule.never_accept}
    valid = [entry for entry in entries if entry.rule in allowed and not entry.has_expired(today)]
    left, accepted = [], []
    for failure in failures:
        entry = next((one for one in valid if covers(one, failure.finding)), None)
        if entry:
            accepted.append(Accepted(failure.finding, entry))
        else:
            left.append(failure)
    return left, accepted


def covers(entry: Acceptance, finding: Finding) -> bool:
    """Whether an acceptance is about a finding: of its rule, at its place or below it."""
    if entry.rule != finding.rule:
        return False
    paths = (finding.at, finding.subject)  # people write what the text report prints, or the data has
    return not entry.at or any(path == entry.at or path.startswith(f"{entry.at}.") for path in paths)


def unheeded(
    entries: Iterable[Acceptance],
    rules: Iterable[Rule],
    failures: Iterable[Fails],
    left: Iterable[Fails],
    not_judged: Iterable[NotJudged],
    today: date,
) -> Iterator[Unheeded]:
    """The acceptances that accept nothing, each with the reason and what to do.

    ``left`` are those of all ``failures`` that nothing accepts.
    """
    by_id = {rule.id: rule for rule in rules}
    found: dict[str, list[Finding]] = {}
    for failure in failures:
        found.setdefault(failure.finding.rule, []).append(failure.finding)
    standing = [failure.finding for failure in left]
    open_rules = {one.rule for one in not_judged}
    for entry in entries:
        findings = found.get(entry.rule, [])
        stands = any(covers(entry, one) for one in standing)
        rule = by_id.get(entry.rule)
        if rule and rule.never_accept:
            stays = ", its finding stays" if stands else ""
            yield Unheeded(entry, Unused.NEVER, f"cannot be accepted{stays}: {rule.never_accept}")
        elif entry.has_expired(today):
            again = "what it accepted is found again: mend it, or set another day" if stands else _NOTHING
            yield Unheeded(entry, Unused.EXPIRED, f"expired, its last day was {entry.until}: {again}.")
        elif not any(covers(entry, one) for one in findings):
            yield Unheeded(entry, Unused.UNUSED, _unused(entry, by_id, findings, open_rules))


def _unused(
    entry: Acceptance, rules: Mapping[str, Rule], findings: Sequence[Finding], open_rules: set[str]
) -> str:
    if entry.rule not in rules:
        return "unused: the rule is switched off, or none of those that were asked."
    if findings:
        places = [*dict.fromkeys(one.at for one in findings)]
        more = f" and at {len(places) - SHOWN} more" if len(places) > SHOWN else ""
        return f"unused: the rule finds something at {', '.join(places[:SHOWN])}{more}, not there."
    if entry.rule in open_rules:
        return "unused: the rule could not be judged."
    return f"unused: {_NOTHING}."
