"""Which lines a finding comes from: two audits side by side, and the lines typed between them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Finding
from cfgaudit.model.place import Place

Lines = tuple[int, ...]  # line numbers of the text that was typed


class Judged(Struct, frozen=True):
    """What one audit finds and the other does not.

    Root causes only; a finding that was a mere consequence before is none that is new.
    """

    brought: tuple[Finding, ...]
    mended: tuple[Finding, ...]
    left: tuple[Finding, ...]  # found by both


def judged_apart(before: Audit, after: Audit) -> Judged:
    """Findings by what came of them, by their content and never by their lines."""
    had = {one.fingerprint for one in _every(before.findings)}
    has = {one.fingerprint for one in _every(after.findings)}
    return Judged(
        brought=tuple(one for one in after.findings if one.fingerprint not in had),
        mended=tuple(one for one in before.findings if one.fingerprint not in has),
        left=tuple(one for one in after.findings if one.fingerprint in had),
    )


def finds(audit: Audit, finding: Finding) -> bool:
    """Whether an audit finds the same, as a root cause or as a consequence."""
    return any(one.fingerprint == finding.fingerprint for one in _every(audit.findings))


def finds_alike(audit: Audit, finding: Finding) -> bool:
    """Whether an audit finds the same of the same thing, with whatever figures."""
    return any((one.rule, one.subject) == (finding.rule, finding.subject) for one in _every(audit.findings))


def lines_shown(finding: Finding) -> frozenset[tuple[str, int]]:
    """File and line of all that a finding points at."""
    return frozenset(
        (sight.origin.file, sight.origin.line) for sight in finding.found if isinstance(sight.origin, Place)
    )


def _every(findings: Iterable[Finding]) -> Iterator[Finding]:
    for finding in findings:
        yield finding
        yield from _every(finding.follows)


def smallest(lines: Sequence[int], enough: Callable[[frozenset[int]], bool]) -> Lines:
    """A smallest choice of lines that is ``enough``; none of it can be left out.

    () if not even all are enough, or none are needed. By halving (U. Junker, QuickXplain, AAAI 2004):
    some k × log n questions for k of n lines.
    """
    if not lines or enough(frozenset()) or not enough(frozenset(lines)):
        return ()
    return tuple(sorted(_explain(frozenset(), False, list(lines), enough)))


def _explain(
    taken: frozenset[int], grew: bool, lines: list[int], enough: Callable[[frozenset[int]], bool]
) -> list[int]:
    if grew and enough(taken):
        return []
    if len(lines) == 1:
        return lines
    first, second = lines[: len(lines) // 2], lines[len(lines) // 2 :]
    of_second = _explain(taken | {*first}, True, second, enough)
    of_first = _explain(taken | {*of_second}, bool(of_second), first, enough)
    return [*of_first, *of_second]
