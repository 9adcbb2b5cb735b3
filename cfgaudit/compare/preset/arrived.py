"""A preset after it was typed: what took effect, what did not and perhaps why, what changed beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.audit.finding import Audit
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.compare.preset.adapt import why_nothing
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.elsewhere import Elsewhere, known_elsewhere
from cfgaudit.compare.preset.meant import Otherwise, made_otherwise
from cfgaudit.compare.preset.preset import Judge
from cfgaudit.compare.preset.trace import Effect, effect
from cfgaudit.dialect.front import Front
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import Fate, Session, Typed, said, type_lines
from cfgaudit.dump.text import Text


class Arrived(Struct, frozen=True):
    """A line of the preset that should be in force, or that never could be.

    ``took``: the later dump says what the line says. If it does not, ``now`` is what the dump says in its
    place ("" if it says nothing of it), and ``why`` holds what may have kept the line from taking effect.
    """

    typed: Typed
    took: bool
    now: str = ""
    why: tuple[str, ...] = ()


class Applied(Struct, frozen=True):
    """What came of a preset. ``beside``: the changes that it does not explain."""

    preset: Text
    session: Session
    otherwise: tuple[Otherwise, ...]
    elsewhere: Mapping[int, Elsewhere]
    arrived: tuple[Arrived, ...]
    beside: Comparison
    before: Audit
    after: Audit
    effect: Effect

    @property
    def missing(self) -> tuple[Arrived, ...]:
        """The lines that should have taken effect and did not."""
        return tuple(one for one in self.arrived if not one.took)


def applied(
    before: Reading, preset: Text, after: Reading, judge: Judge, fronts: Sequence[Front] = ()
) -> Applied:
    """Hold the dump after a preset against what the preset says."""
    session = type_lines(before, preset, absent_ports(before, judge.sheet))
    unknown = [one.statement.line for one in session.typed if one.fate is Fate.UNKNOWN]
    elsewhere = known_elsewhere(before, session.statements, unknown)
    arrived = tuple(_arrived(session, after, elsewhere))
    was, now = judge(before), judge(after)

    def without(numbers: frozenset[int]) -> Reading:
        slots = [
            entry.shared_slot
            for one in session.typed
            for entry in one.entries
            if entry.statement.line in numbers
        ]
        return laid_over(after, (before.in_force[at] for at in slots if at in before.in_force))

    return Applied(
        preset,
        session,
        tuple(made_otherwise(preset, before, fronts)),
        elsewhere,
        arrived,
        compare(_explained(session, arrived, after), after),
        was,
        now,
        effect(session, was, now, judge, without),
    )


def _explained(session: Session, arrived: Sequence[Arrived], after: Reading) -> Reading:
    """What the preset leads to, with the later dump's own word on the lines that did not take effect."""
    slots = [entry.shared_slot for one in arrived if not one.took for entry in one.typed.entries]
    return laid_over(session.after, (after.in_force[at] for at in slots if at in after.in_force))


def _arrived(session: Session, after: Reading, elsewhere: Mapping[int, Elsewhere]) -> Iterator[Arrived]:
    wanted = [one for one in session.typed if one.fate in (Fate.SETS, Fate.ALREADY)]
    took = {one.statement.line for one in wanted if _is_so(one, after)}
    nothing = not any(one.statement.line in took for one in wanted if one.fate is Fate.SETS)
    kept = [one.statement.line for one in session.typed if one.fate is Fate.KEEPS]
    for one in session.typed:
        if one.fate in (Fate.REFUSED, Fate.UNKNOWN, Fate.ABSENT, Fate.OVERRULED):
            yield Arrived(one, False, _now(one, after), (why_nothing(one, session.before, elsewhere),))
        elif one.statement.line in took:
            yield Arrived(one, True)
        elif one in wanted:
            yield Arrived(one, False, _now(one, after), tuple(_perhaps(one, session, after, kept, nothing)))


def _is_so(one: Typed, after: Reading) -> bool:
    return all(
        (now := after.in_force.get(entry.shared_slot)) is not None and said(now) == said(entry)
        for entry in one.entries
    )


def _now(one: Typed, after: Reading) -> str:
    for entry in one.entries:
        if now := after.in_force.get(entry.shared_slot):
            return after.shown(now.statement)
    return ""


def _perhaps(
    one: Typed, session: Session, after: Reading, kept: Sequence[int], nothing: bool
) -> Iterator[str]:
    """What may have kept a line from taking effect, the likeliest first."""
    dialect = session.before.dialect
    (entry,) = one.entries
    was, now = (reading.in_force.get(entry.shared_slot) for reading in (session.before, after))
    if now is None:
        yield "the later dump does not tell this setting"
        return
    if was is None or said(was) != said(now):
        yield "it has a third value now: something else set it, or a later line of another text"
        return
    keep = dialect.keep_with or "the command that keeps"
    if nothing:
        yield f"nothing of the preset is in force: perhaps it was not kept (“{keep}”), or the dump is old"
    elif kept and one.statement.line > kept[-1]:
        yield f"it stands behind the last “{keep}” of the preset: a restart loses it"
    elif not kept:
        yield f"the preset does not say “{keep}”: what is not kept is lost at a restart"
    if wait := next((cell.after for cell in entry.form.cells.values() if cell.after), ""):
        yield f"it takes effect after a {wait}: perhaps the dump was taken before that"
