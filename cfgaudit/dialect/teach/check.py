"""Checking a dialect against its own lessons and against dumps."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.teach.evidence import entries
from cfgaudit.dialect.teach.lesson import Lesson, kept_lessons
from cfgaudit.dialect.teach.settle import Outcome, Question, Status, study
from cfgaudit.dialect.teach.teach import Proof, proofs
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed


class Wrong(Struct, frozen=True):
    """Something a dialect has wrong, and where it shows."""

    place: Place
    text: str


class Unread(Struct, frozen=True):
    """Lines that begin alike and that the dialect does not know."""

    beginning: str
    count: int
    first: Place


class DumpCheck(Struct, frozen=True):
    """How a dialect does on one dump."""

    file: str
    settings: int  # lines that say something
    understood: int
    wrong: tuple[Wrong, ...]
    unread: tuple[Unread, ...]  # the most frequent first


class Check(Struct, frozen=True):
    """All that checking a dialect came to."""

    dialect: Dialect
    proofs: tuple[Proof, ...]
    outcomes: tuple[Outcome, ...]
    dumps: tuple[DumpCheck, ...]

    @property
    def refuted(self) -> tuple[Outcome, ...]:
        """Paths of which the lessons disagree."""
        return tuple(one for one in self.outcomes if one.status is Status.REFUTED)

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong. What is open, or not known yet, is not wrong."""
        unproved = any(one.wrong for one in self.proofs)
        return not (unproved or self.refuted or any(one.wrong for one in self.dumps))

    @property
    def questions(self) -> tuple[Question, ...]:
        """What to teach next, what the dumps cannot be read without first."""
        every = [question for one in self.outcomes for question in one.questions]
        return tuple(sorted(every, key=lambda one: not one.needed))


def check(placed: Placed, dialect: Dialect, readings: Sequence[Reading]) -> Check:
    """Prove the lessons again, and read the dumps in both directions."""
    lessons = kept_lessons(placed)
    told = _told(placed, dialect, lessons, readings) if lessons else ()
    return Check(dialect, tuple(proofs(dialect, lessons)), told, tuple(map(_on_dump, readings)))


def _told(
    placed: Placed, dialect: Dialect, lessons: Sequence[Lesson], readings: Sequence[Reading]
) -> tuple[Outcome, ...]:
    dumps = [one.dump for one in readings]
    return study(dialect, lessons, dumps, entries(placed, dialect)).outcomes


def _on_dump(reading: Reading) -> DumpCheck:
    doubts = [Wrong(one.place, f"{one.setting}: {one.text!r} {one.why}") for one in reading.doubts]
    wrong = sorted({*doubts, *_not_exact(reading)}, key=lambda one: (one.place, one.text))
    unread = _unread(reading)
    return DumpCheck(
        reading.dump.file, reading.dump.settings, reading.understood, tuple(wrong), tuple(unread)
    )


def _not_exact(reading: Reading) -> Iterator[Wrong]:
    """Cells whose values would be written in another way than they stand in the dump."""
    if reading.dump.text != reading.dump.source.text:
        yield Wrong(Place(reading.dump.file, 1), "the dump's lines do not join to its text")
    for entry in reading.entries:
        for name, text in () if entry.factory else entry.texts.items():
            codec = entry.form.cells[name].codec
            try:
                value = codec.read(text)
                again = codec.read(codec.write(value))
            except Misfit:
                continue  # a doubt already
            if again != value:
                yield Wrong(entry.place_of(name), f"{entry.label}: {text!r} would not be read back")


def _unread(reading: Reading) -> list[Unread]:
    found: dict[str, list[Place]] = {}
    for statement in reading.unknown:
        first = statement.words[0] if statement.words else statement.shown
        found.setdefault(re.sub(r"[0-9]+", "#", first), []).append(statement.place)
    made = [Unread(beginning, len(places), places[0]) for beginning, places in found.items()]
    return sorted(made, key=lambda one: (-one.count, one.first))
