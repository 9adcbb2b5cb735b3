"""A preset before it touches the aircraft: what it would do, what speaks against it, what fits instead."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.audit import NONE, audit
from cfgaudit.audit.finding import Audit
from cfgaudit.audit.remedy import remedied
from cfgaudit.audit.rule import Rule
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.compare.preset.adapt import Adapted, Part, parts_of
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.elsewhere import Elsewhere, known_elsewhere
from cfgaudit.compare.preset.meant import Otherwise, made_otherwise
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.compare.preset.trace import Effect, effect
from cfgaudit.dialect.front import Front
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.typed import Fate, Session, type_lines
from cfgaudit.dump.text import Text
from cfgaudit.model.sheet import Build
from cfgaudit.model.terms import Terms

ROUNDS = 4  # what is left out may bring another finding to light


class Judge(Struct, frozen=True):
    """Everything that a configuration is judged by."""

    sheet: Build
    rules: tuple[Rule, ...]
    terms: Terms = NONE
    today: date = date.max

    def __call__(self, reading: Reading) -> Audit:
        """The audit of a configuration."""
        return audit(reading, self.sheet, self.rules, self.terms, self.today)


class DryRun(Struct, frozen=True):
    """What typing a preset would do. ``elsewhere``: by line, what another version of the firmware knows."""

    preset: Text
    session: Session
    otherwise: tuple[Otherwise, ...]
    elsewhere: Mapping[int, Elsewhere]
    changes: Comparison
    before: Audit
    after: Audit
    effect: Effect
    adapted: Adapted

    @property
    def unkept(self) -> frozenset[int]:
        """The lines behind the last one that keeps: a restart loses them."""
        kept = [one.statement.line for one in self.session.typed if one.fate is Fate.KEEPS]
        return frozenset(
            one.statement.line
            for one in self.session.typed
            if kept and one.fate is Fate.SETS and one.statement.line > kept[-1]
        )


def dry_run(before: Reading, preset: Text, judge: Judge, fronts: Sequence[Front] = ()) -> DryRun:
    """Type a preset on top of a dump, judge both, and fit the preset to the build."""
    is_absent = absent_ports(before, judge.sheet)
    session = type_lines(before, preset, is_absent)
    unknown = [one.statement.line for one in session.typed if one.fate is Fate.UNKNOWN]
    elsewhere = known_elsewhere(before, session.statements, unknown)
    was, now = judge(before), judge(session.after)

    return DryRun(
        preset,
        session,
        tuple(made_otherwise(preset, before, fronts)),
        elsewhere,
        compare(before, session.after),
        was,
        now,
        effect(session, was, now, judge, partial(_without, before, preset, is_absent, frozenset())),
        _adapted(before, session, _in_these_words(preset, session, elsewhere), elsewhere, judge),
    )


def _in_these_words(preset: Text, session: Session, elsewhere: Mapping[int, Elsewhere]) -> Text:
    """The preset with the lines of another version as this one writes them; lines keep their numbers."""
    lines = [
        f"{there.spoken}\n" if (there := elsewhere.get(one.line)) and there.spoken else one.text
        for one in session.statements
    ]
    return replace(preset, text="".join(lines))


def _adapted(
    before: Reading, own: Session, preset: Text, elsewhere: Mapping[int, Elsewhere], judge: Judge
) -> Adapted:
    """The parts that fit, tried: what they lead to is judged from their text, as it will be typed."""
    was, is_absent = judge(before), absent_ports(before, judge.sheet)
    dropped: dict[int, tuple[str, ...]] = {}
    parts: tuple[Part, ...] = ()
    for _ in range(ROUNDS):
        gone = frozenset(dropped)
        session = type_lines(before, preset, is_absent, gone)
        first = judge(session.after)
        fixed = remedied(session.after, judge.sheet, judge.rules, first, judge.terms, judge.today)
        parts = parts_of(session, fixed, elsewhere, dropped)
        still = {one.fingerprint for one in fixed.left.findings}
        lasting = tuple(one for one in first.findings if one.fingerprint in still)
        brought = effect(
            session,
            was,
            replace(first, findings=lasting),
            judge,
            partial(_without, before, preset, is_absent, gone),
        ).brought
        new = {line.line: one.finding.text for one in brought for line in one.lines}
        if not new:
            break
        dropped |= {number: (text,) for number, text in new.items()}
    text = "\n".join(adapted_lines(own, parts, hide=False))
    return Adapted(parts, judge(type_lines(before, replace(preset, text=text), is_absent).after))


def _without(
    before: Reading,
    preset: Text,
    is_absent: Callable[[Entry], bool],
    gone: frozenset[int],
    numbers: frozenset[int],
) -> Reading:
    """The configuration after the preset without some of its lines."""
    return type_lines(before, preset, is_absent, gone | numbers).after
