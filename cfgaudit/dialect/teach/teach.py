"""One lesson: two dumps and what was changed between them → the dialect's file, amended."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import decode
from cfgaudit.dialect.shelf import own_dialect
from cfgaudit.dialect.sort import sort
from cfgaudit.dialect.teach.amend import amended
from cfgaudit.dialect.teach.evidence import entries
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, disagreement
from cfgaudit.dialect.teach.lesson import Changed, Lesson, changes, kept_lessons
from cfgaudit.dialect.teach.numbering import refuse_chip_names
from cfgaudit.dialect.teach.settle import Status, Study, study
from cfgaudit.dialect.teach.sketch import sketched
from cfgaudit.dialect.teach.write import written
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Value


class Taught(Struct, frozen=True):
    """What came of a lesson. ``text`` is the dialect's file, the old one if the lesson was refused."""

    text: str
    lesson: Lesson
    study: Study
    notes: tuple[str, ...]
    refused: bool


def teach(placed: Placed, before: Dump, after: Dump, facts: Sequence[Fact]) -> Taught:
    """Learn from two dumps what was changed on purpose between them. Raises Refusal.

    The lesson is kept in the text with all that it settles; a lesson that no reading fits, alone or
    together with the earlier ones, changes nothing.
    """
    dialect = own_dialect(placed)
    earlier = kept_lessons(placed)
    changed = changes(dialect, before.statements, after.statements)
    if not facts:
        raise Refusal("a lesson needs a fact", "say what was changed with --fact")
    if not changed:
        what = f"{before.file} and {after.file} do not differ, so they cannot tell what changed"
        mend = "make the change in the firmware, keep it there, and dump again"
        raise Refusal(what, mend, Place(after.file, 1, 1))
    lesson = Lesson(len(earlier) + 1, tuple(facts), changed)
    same = [one for one in earlier if (set(one.facts), one.changed) == (set(facts), changed)]
    lessons = earlier if same else (*earlier, lesson)
    return _taught(placed, dialect, lessons, same[0] if same else lesson, (before, after))


def _taught(
    placed: Placed, dialect: Dialect, lessons: Sequence[Lesson], lesson: Lesson, dumps: Sequence[Dump]
) -> Taught:
    text, notes = placed.text, []
    said = entries(placed, dialect)
    refuse_chip_names(dialect, said, lesson)
    found = study(dialect, lessons, dumps, said)
    if unknown := [line for one, line in found.unknown if one is lesson]:
        sketch = sketched(_data(placed), dialect, unknown, dumps)
        text = amended(text, placed.file, sketch.data)
        notes += sketch.notes
        placed_so = read_yaml(text, placed.file)
        dialect = own_dialect(placed_so)
        found = study(dialect, lessons, dumps, entries(placed_so, dialect))
    if any(one.status is Status.REFUTED for one in found.outcomes):
        return Taught(placed.text, lesson, found, (), True)
    broken = {proof.fact.shape for proof in proofs(dialect, lessons) if proof.wrong}
    draft = written(_data(read_yaml(text, placed.file)), dialect, found.outcomes, dumps, broken)
    draft.data["lessons"] = [one.data for one in lessons]
    text = amended(text, placed.file, draft.data)
    own_dialect(read_yaml(text, placed.file))
    return Taught(text, lesson, found, (*notes, *draft.notes), False)


def _data(placed: Placed) -> dict[str, Any]:
    data: Any = placed.data
    return dict(data)


# Proving kept lessons again


class Proof(Struct, frozen=True):
    """Whether the dialect reads a fact out of its lesson's lines."""

    lesson: Lesson
    fact: Fact
    given: bool  # whether the dialect gives the path at all
    wrong: str  # what is wrong, or ""


def proofs(dialect: Dialect, lessons: Sequence[Lesson]) -> Iterator[Proof]:
    """Every fact of the kept lessons, read again from the lines that changed."""
    for lesson in lessons:
        before = _leaves(dialect, [(one.under, one.before) for one in lesson.changed if one.before])
        after = _leaves(dialect, [(one.under, one.after) for one in lesson.changed if one.after])
        for fact in lesson.facts:
            given = any(True for _ in dialect.giving(fact.path))
            old, new = before.get(fact.path, UNTOLD), after.get(fact.path, UNTOLD)
            yield Proof(lesson, fact, given, disagreement(fact, old, new) if given else "")


def _leaves(dialect: Dialect, lines: Sequence[tuple[str, str]]) -> dict[Path, Value]:
    typed = "".join(f"{under}\n{line}\n" if under else f"{line}\n" for under, line in lines)
    statements = read_statements(Text("", typed, "utf-8", mark=False), dialect.family).statements
    entries = sort(dialect, statements).entries
    return {path: leaf.value for entry in entries for path, leaf in decode(entry, dialect.name).leaves}


def explained(line: Changed) -> str:
    """A changed line as a message says it."""
    under = f"{line.under}: " if line.under else ""
    if line.before and line.after:
        return f"{under}{line.before} → {line.after}"
    return f"{under}{line.after} is new" if line.after else f"{under}{line.before} is gone"
