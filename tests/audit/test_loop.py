"""The loop closes: what a rule finds in a dump, its lines mend, and the lines that undo them take back.

Every failing case of every rule that can mend is written out as a dump of each dialect, read back,
judged, mended by the lines that the program gives, judged again, and undone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from cfgaudit.audit.audit import audit
from cfgaudit.audit.book import shipped_rules
from cfgaudit.audit.evidence import dotted_paths
from cfgaudit.audit.finding import Audit
from cfgaudit.audit.remedy import remedy
from cfgaudit.audit.rule import Case, Rule
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import write
from cfgaudit.model.place import Default
from cfgaudit.model.sheet import Build
from tests.audit.bench import (
    Leaves,
    dialects,
    dump_of,
    header,
    in_shape,
    numbered,
    reading_of,
    sheet_of,
    typed,
    values,
    versions_of,
)

RULES = shipped_rules(cases=True)
MENDING = tuple(rule for rule in RULES if rule.mend)

# What a dialect cannot say: rule, number of its failing case, dialect → a part of the reason.
# Empty is as it should be; a line here is a gap that is known and cannot be closed.
NO_SUCH_DUMP: dict[tuple[str, int, str], str] = {}
NO_SUCH_MEND: dict[tuple[str, int, str], str] = {}


@dataclass(frozen=True)
class Triple:
    """A failing case of a rule, in a dialect as one version of the firmware writes it."""

    rule: Rule
    number: int
    case: Case
    dialect: Dialect
    version: str
    sheet: Build  # the case's, with numbers for its ports where the firmware numbers them itself
    leaves: Leaves  # the case's model, as this firmware has it

    @property
    def key(self) -> tuple[str, int, str]:
        return self.rule.id, self.number, self.dialect.name

    def __str__(self) -> str:
        return f"{self.rule.id}-{self.number}-{self.dialect.name}-{self.version}"


def triples() -> Iterator[Triple]:
    for rule in MENDING:
        failing = [case for case in rule.cases if case.answer == "fails"]
        for number, case in enumerate(failing, 1):
            for dialect in dialects().values():
                told = dict(dotted_paths(dict(case.model)))
                build = numbered(case.build, told) if dialect.numbers_ports else case.build
                sheet = sheet_of(build)
                leaves = in_shape(dialect, told, sheet)
                for version in versions_of(dialect, leaves):
                    yield Triple(rule, number, case, dialect, version, sheet, leaves)


TRIPLES = [*triples()]


def judge(triple: Triple, reading: Reading) -> Audit:
    return audit(reading, triple.sheet, (triple.rule,))


def dump(triple: Triple) -> Reading:
    """The case as a dump that was read back: it says what the case says, and nothing is left open."""
    text, cannot = dump_of(triple.dialect, triple.version, triple.leaves, triple.sheet)
    assert not cannot
    reading = reading_of(text, board=triple.sheet)
    assert not reading.unknown
    assert not reading.doubts
    assert not reading.repeats
    told = values(reading)
    assert {path: told.get(path) for path in triple.leaves} == triple.leaves
    return reading


def closed(triple: Triple, reading: Reading) -> None:
    """Found, mended, undone."""
    before = values(reading)
    first = judge(triple, reading)
    assert first.findings, first.not_judged
    assert {finding.mend.cannot for finding in first.findings} == {""}

    mends = remedy(reading, triple.sheet, (triple.rule,), first)
    assert mends.complete
    assert mends.lines
    mended = judge(triple, typed(reading, mends.lines))
    assert not mended.findings
    assert not mended.not_judged
    assert values(typed(reading, mends.lines, mends.undo)) == before

    # and so does each finding by its own lines, whatever becomes of the others
    for finding in first.findings:
        after = typed(reading, finding.mend.lines)
        assert finding.subject not in {other.subject for other in judge(triple, after).findings}
        assert values(typed(after, finding.mend.undo)) == before


@pytest.mark.parametrize("triple", [one for one in TRIPLES if one.key not in NO_SUCH_DUMP], ids=str)
def test_the_loop_closes(triple: Triple) -> None:
    reading = dump(triple)
    if reason := NO_SUCH_MEND.get(triple.key):
        (cannot,) = {finding.mend.cannot for finding in judge(triple, reading).findings}
        assert reason in cannot
    else:
        closed(triple, reading)


def test_nothing_else_is_missing() -> None:
    """The tables above are exact: each gap in them is one, and names a triple that there is."""
    keys = {triple.key for triple in TRIPLES}
    assert keys >= NO_SUCH_DUMP.keys() | NO_SUCH_MEND.keys()
    for triple in TRIPLES:
        if reason := NO_SUCH_DUMP.get(triple.key):
            _, cannot = dump_of(triple.dialect, triple.version, triple.leaves, triple.sheet)
            assert any(reason in one for one in cannot)


def test_how_many_are_closed() -> None:
    """Not fewer than there were: a rule or a dialect that drops out shows here."""
    closing = {one.key for one in TRIPLES} - NO_SUCH_DUMP.keys() - NO_SUCH_MEND.keys()
    print(len(closing), "triples closed")
    assert len({rule for rule, _, _ in closing}) == len(MENDING) >= 35
    assert {dialect for _, _, dialect in closing} == {*dialects()}
    assert len(closing) >= 162


# The same where the dump is silent and the dialect's default is what is wrong


@dataclass(frozen=True)
class Silent:
    """A triple whose fault, or a part of it, is a default: a dump of changes says the rest."""

    triple: Triple
    text: str

    def __str__(self) -> str:
        return str(self.triple)


def silent_dumps(dialect: Dialect) -> Iterator[Silent]:
    version = versions_of(dialect)[0]
    head = header(dialect, version).replace(min(dialect.full), min(dialect.changed))
    for triple in TRIPLES:
        if (triple.dialect.name, triple.version) == (dialect.name, version):
            untouched = reading_of(head, board=triple.sheet)
            defaults = values(untouched)
            said = {path: value for path, value in triple.leaves.items() if defaults.get(path) != value}
            if len(said) < len(triple.leaves):
                lines = write(untouched, said).lines
                yield Silent(triple, head + "".join(f"{line}\n" for line in lines))


def of_a_default(silent: Silent, reading: Reading) -> bool:
    """Whether a value that some mend wants changed is a default."""
    findings = judge(silent.triple, reading).findings
    wanted = {path for finding in findings for path, _ in finding.mend.wanted}
    leaves = (reading.model.leaves.get(path) for path in wanted)
    return any(leaf is not None and isinstance(leaf.origin, Default) for leaf in leaves)


@pytest.mark.parametrize("name", dialects())
def test_the_loop_closes_over_a_default(name: str) -> None:
    rules = set()
    for silent in silent_dumps(dialects()[name]):
        if silent.triple.rule.id not in rules:
            reading = reading_of(silent.text, board=silent.triple.sheet)
            if of_a_default(silent, reading):
                closed(silent.triple, reading)
                rules.add(silent.triple.rule.id)
    print(len(rules), "rules closed over a default")
    assert len(rules) >= 3
