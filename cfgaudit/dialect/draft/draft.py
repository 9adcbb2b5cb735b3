"""One dump, perhaps with a build sheet → a draft dialect, with each guess's evidence beside it."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.dialect.draft.facts import settings, solve_facts
from cfgaudit.dialect.draft.group import Guess, Question, Sketch, Solved
from cfgaudit.dialect.draft.head import Head, family, head
from cfgaudit.dialect.draft.likely import likely
from cfgaudit.dialect.draft.modes import solve_modes
from cfgaudit.dialect.draft.outputs import solve_outputs
from cfgaudit.dialect.draft.paper import paper
from cfgaudit.dialect.draft.ports import solve_ports
from cfgaudit.dialect.draft.shape import sketch
from cfgaudit.dialect.draft.table import keyed, tables
from cfgaudit.dump.text import Text
from cfgaudit.model.sheet import Build


class Draft(Struct, frozen=True):
    """A draft dialect: its YAML, what is settled, and what is not."""

    text: str
    head: Head
    sketch: Sketch
    guesses: tuple[Guess, ...]
    questions: tuple[Question, ...]

    @property
    def name(self) -> str:
        """The name that the dialect was given."""
        return self.head.name


def draft(source: Text, sheet: Build | None = None) -> Draft:
    """A draft of the dialect that a dump is written in.

    What is settled gives model paths; every other cell is a text that gives nothing, so that the
    draft reads the dump as a whole. With the build sheet of a craft that flies with this dump, codes
    are solved for: a meaning is settled when one reading is left.
    """
    tree = sheet.tree if sheet else {}
    dump, why = family(source)
    made = sketch(dump)
    found = tables(made)
    parts = (
        solve_ports((*found, *keyed(made)), tree, own_numbers=made.family == "columns"),
        solve_outputs(found, tree),
        solve_modes(found, tree),
        solve_facts(settings(made.groups), tree),
    )
    guesses = _apart(parts)
    questions = tuple(question for part in parts for question in part.questions)
    settled = {guess.path for guess in guesses}
    questions = tuple(one for one in questions if one.about.removeprefix("which setting is ") not in settled)
    top = head(source, tree)
    questions += tuple(likely(found, {guess.place for guess in guesses}))
    paths = {guess.path for guess in guesses}
    lessons = tuple(
        lesson
        for part in parts
        for lesson in part.lessons
        if paths >= {guess.path for guess in part.guesses if guess.path}
    )
    text = paper(top, made, guesses, questions, lessons, dump, why, sheet.file if sheet else "")
    return Draft(text, top, made, guesses, questions)


def _apart(parts: tuple[Solved, ...]) -> tuple[Guess, ...]:
    """The guesses, without those that would speak of a cell or a path that has a meaning already."""
    taken: set[object] = set()
    kept: list[Guess] = []
    for part in parts:
        own = {(guess.place, guess.cell) for guess in part.guesses} | {
            guess.path for guess in part.guesses if guess.path
        }
        if not own & taken:
            taken |= own
            kept += part.guesses
        else:
            for guess in part.guesses:
                alone = {(guess.place, guess.cell), guess.path} - {""}
                if guess.path and "{" not in guess.path and not alone & taken:
                    taken |= alone
                    kept.append(guess)
    return tuple(kept)
