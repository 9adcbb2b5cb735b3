"""A preset after it was typed: what took effect, what did not and perhaps why, what changed beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum

from msgspec import Struct

from cfgaudit.audit.finding import Audit, Sight
from cfgaudit.compare.compare import Comparison, compare
from cfgaudit.compare.judge import Judge
from cfgaudit.compare.preset.board import absent_ports
from cfgaudit.compare.preset.elsewhere import Elsewhere, typed_here
from cfgaudit.compare.preset.meant import Otherwise, made_otherwise
from cfgaudit.compare.preset.trace import Effect, effect
from cfgaudit.compare.preset.why import why_nothing
from cfgaudit.dialect.front import Front
from cfgaudit.dialect.read import laid_over
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import Fate, Session, Typed, prepared, said
from cfgaudit.dump.text import Text
from cfgaudit.model.place import Default


class Outcome(StrEnum):
    """What came of a line of the preset."""

    TOOK = "took effect"
    STOOD = "was so already"
    MISSING = "did not take effect"
    NEVER = "could not take effect"  # this firmware refuses it, or a later line overrules it


class Arrived(Struct, frozen=True):
    """A line of the preset, and what the later dump says in its place.

    ``now`` is () if that dump says nothing of it. ``why`` holds what may have kept the line from taking
    effect, the likeliest first; () if the dump says what the line says.
    """

    typed: Typed
    outcome: Outcome
    now: tuple[Sight, ...] = ()
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

    def of(self, outcome: Outcome) -> tuple[Arrived, ...]:
        """The lines of which this came."""
        return tuple(one for one in self.arrived if one.outcome is outcome)


def applied(
    before: Reading, preset: Text, after: Reading, judge: Judge, fronts: Sequence[Front] = ()
) -> Applied:
    """Hold the dump after a preset against what the preset says."""
    session, elsewhere = typed_here(prepared(before, preset, absent_ports(before, judge.sheet)))
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
    slots = [
        entry.shared_slot for one in arrived if one.outcome is Outcome.MISSING for entry in one.typed.entries
    ]
    return laid_over(session.after, (after.in_force[at] for at in slots if at in after.in_force))


def _arrived(session: Session, after: Reading, elsewhere: Mapping[int, Elsewhere]) -> Iterator[Arrived]:
    sets = [one for one in session.typed if one.fate is Fate.SETS]
    nothing = not any(_is_so(one, after) for one in sets)
    kept = [one.statement.line for one in session.typed if one.fate is Fate.KEEPS]
    for one in session.typed:
        if one.fate in (Fate.SETS, Fate.ALREADY):
            if _is_so(one, after):
                yield Arrived(one, Outcome.TOOK if one in sets else Outcome.STOOD)
            else:
                why = tuple(_perhaps(one, session, after, kept, nothing))
                yield Arrived(one, Outcome.MISSING, tuple(_now(one, after)), why)
        elif one.does_nothing:
            why = (why_nothing(one, session.before, elsewhere),)
            yield Arrived(one, Outcome.NEVER, tuple(_now(one, after)), why)


def _is_so(one: Typed, after: Reading) -> bool:
    return all(
        (now := after.in_force.get(entry.shared_slot)) is not None and said(now) == said(entry)
        for entry in one.entries
    )


def _now(one: Typed, after: Reading) -> Iterator[Sight]:
    for entry in one.entries:
        if now := after.in_force.get(entry.shared_slot):
            origin = Default(after.dialect.name) if now.factory else now.statement.place
            yield Sight(origin, after.shown(now.statement))


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
    if one.fate is Fate.ALREADY or was is None or said(was) != said(now):
        yield "it was set to something else since: by hand, or by a text that was typed later"
        return
    keep = dialect.keep_with or "the command that keeps"
    if nothing:
        yield f"nothing of the preset is in force: it was not kept with “{keep}”, or the dump is older"
    elif kept and one.statement.line > kept[-1]:
        yield f"it stands behind the last “{keep}” of the preset: a restart loses it"
    elif not kept:
        yield f"the preset does not say “{keep}”: what is not kept is lost at a restart"
    if wait := next((cell.after for cell in entry.form.cells.values() if cell.after), ""):
        yield f"it takes effect after a {wait}, and the dump was taken before"
