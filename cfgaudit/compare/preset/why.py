"""Why a line of a preset does nothing here, in one sentence."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from cfgaudit.compare.preset.elsewhere import Elsewhere
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.typed import Fate, Typed
from cfgaudit.dump.statement import Statement

NEAR = 0.8  # of two spellings; less is another word
LONGEST = 60  # characters of a value that a reason repeats


def why_nothing(one: Typed, before: Reading, foreign: Mapping[int, Elsewhere]) -> str:
    """Why a line does nothing here; "" for one that does something."""
    here = firmware(before)
    match one.fate:
        case Fate.ALREADY:
            return "it is so already"
        case Fate.OVERRULED:
            return f"line {one.by[0].line} says it again, and the last one counts"
        case Fate.ABSENT:
            return "the board does not bring that port out"
        case Fate.REFUSED if one.by:
            return f"{here} refuses line {one.by[0].line}, below which it stands"
        case Fate.REFUSED:
            return f"{here} refuses it: {_misfit(one)}"
        case Fate.UNKNOWN:
            if there := foreign.get(one.statement.line):
                return in_other_words(before, there)
            if opening := belongs_below(before, one.statement):
                return f"it counts only below “{opening}”, and does not stand there"
            return f"{here} knows no such line{_meant(before.dialect, one.statement)}"
        case _:
            return ""


def in_other_words(before: Reading, there: Elsewhere) -> str:
    """How a line of another version is said in this one, or why it cannot be."""
    known = of_another_version(before, there)
    if not there.spoken:
        return f"{known}: {there.why}"
    return known if there.private else f"{known}: here it is {there.spoken}"


def of_another_version(before: Reading, there: Elsewhere) -> str:
    """That another version of the firmware writes a line so."""
    return f"{before.dialect.name} writes it so {there.when}, and this is {before.recognition.version}"


def firmware(reading: Reading) -> str:
    """``plover 4.1.2``."""
    return f"{reading.dialect.name} {reading.recognition.version}".strip()


def _misfit(one: Typed) -> str:
    if any(cell.private for entry in one.entries for cell in entry.form.cells.values()):
        return "its value does not fit"
    said = (f"{_short(doubt.text)} {doubt.why}" for doubt in one.doubts)
    return ", ".join(dict.fromkeys(said))


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def _meant(dialect: Dialect, statement: Statement) -> str:
    """What was probably meant: a name that is spelt nearly so, or the way in which a known one is written."""
    words = statement.words
    if not words:
        return ""
    forms = {form.name or form.line.keyword: form for scope in dialect.scopes for form in scope.all_forms()}
    word = words[min(dialect.name_word, len(words) - 1)]
    if form := forms.get(word):
        return f": it is written {form.line.text.replace('...', '')}"
    near = get_close_matches(word, [name for name in forms if name], 1, NEAR)
    return f": did you mean {near[0]}?" if near else ""


def belongs_below(before: Reading, statement: Statement) -> str:
    """The opening of the part that a line belongs into, if it is known in one."""
    dialect = before.dialect
    for scope in dialect.scopes[1:] if statement.spans else ():
        if scope.opens and scope.match(statement, dialect.name_word):
            opening = scope.opens.text
            return f"[{opening}]" if dialect.family == "sectioned" else opening
    return ""
