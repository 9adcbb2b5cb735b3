"""A preset before it touches the aircraft: what it would do, what speaks against it, what fits instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.finding import Audit
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.compare.judge import Judge
from cfgaudit.compare.preset.adapt import Adapted, Part, parts_of
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.elsewhere import Elsewhere, typed_here
from cfgaudit.compare.preset.meant import Otherwise, made_otherwise
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.compare.preset.trace import Effect, brought, effect
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.front import Front
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import Fate, Prepared, Session, Typed, prepared, type_lines
from cfgaudit.dump.text import Text

ADAPTED = "the adapted preset"  # stands for the name of a file that is not written
ROUNDS = 4  # what is left out may bring another finding to light


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
    def unkept(self) -> tuple[Typed, ...]:
        """The lines behind the last one that keeps, all if none does: a restart loses them."""
        kept = [one.statement.line for one in self.session.typed if one.fate is Fate.KEEPS]
        last = kept[-1] if kept else 0
        if not self.session.before.dialect.keep_with:
            return ()
        return tuple(one for one in self.session.typed if one.fate is Fate.SETS and one.statement.line > last)


def dry_run(before: Reading, preset: Text, judge: Judge, fronts: Sequence[Front] = ()) -> DryRun:
    """Type a preset on top of a dump, judge both, and fit the preset to the build."""
    is_absent = absent_ports(before, judge.sheet)
    text = prepared(before, preset, is_absent)
    session, elsewhere = typed_here(text)
    was, now = judge(before), judge(session.after)

    return DryRun(
        preset,
        session,
        tuple(made_otherwise(preset, before, fronts)),
        elsewhere,
        compare(before, session.after),
        was,
        now,
        effect(session, was, now, judge, partial(_without, session, text, frozenset())),
        _adapted(was, session, _in_these_words(preset, session, elsewhere), elsewhere, judge),
    )


def _in_these_words(preset: Text, session: Session, elsewhere: Mapping[int, Elsewhere]) -> Text:
    """The preset with the lines of another version as this one writes them; lines keep their numbers."""
    lines = [
        f"{there.spoken}\n" if (there := elsewhere.get(one.line)) and there.spoken else one.text
        for one in session.statements
    ]
    return replace(preset, text="".join(lines))


def _adapted(
    was: Audit, own: Session, preset: Text, elsewhere: Mapping[int, Elsewhere], judge: Judge
) -> Adapted:
    """The parts that fit, tried: what they lead to is judged from their text, as it will be typed.

    What a mend mends is replaced, what nothing mends is left out, and since either may bring another
    finding to light, this is done again until nothing more is brought.
    """
    before = own.before
    is_absent = absent_ports(before, judge.sheet)
    text = prepared(before, preset, is_absent)
    dropped: dict[int, tuple[str, ...]] = {}
    parts: tuple[Part, ...] = ()
    for _ in range(ROUNDS):
        gone = frozenset(dropped)
        session = text.typed(gone)
        first = judge(session.after)
        fixed = judge.remedied(session.after, first)
        parts = parts_of(session, fixed, elsewhere, dropped)
        still = {one.fingerprint for one in fixed.left.findings}
        lasting = tuple(one for one in first.findings if one.fingerprint in still)
        without = partial(_without, session, text, gone)
        new = {
            line.line: one.finding.text
            for one in brought(session, was, replace(first, findings=lasting), judge, without)
            for line in one.lines
        }
        if not new:
            break
        dropped |= {number: (text,) for number, text in new.items()}
        # a line that one of them overrules does not come back
        again = (one for one in session.typed if one.fate is Fate.OVERRULED and one.by[0].line in new)
        dropped |= {one.statement.line: (why_nothing(one, before, elsewhere),) for one in again}
    # a line of another version was translated above: the preset has it in its own words
    parts = tuple(replace(one, was=tuple(own.statements[was.line - 1] for was in one.was)) for one in parts)
    fits = Text(ADAPTED, "\n".join(adapted_lines(own, parts, hide=False)), "utf-8", mark=False)
    return Adapted(parts, judge(type_lines(before, fits, is_absent).after))


def _without(session: Session, text: Prepared, gone: frozenset[int], numbers: frozenset[int]) -> Reading:
    """The configuration after the preset without some of its lines, and without those they overrule."""
    overruled = {
        one.statement.line
        for one in session.typed
        if one.fate is Fate.OVERRULED and one.by[0].line in numbers
    }
    return text.after(gone | numbers | overruled)
