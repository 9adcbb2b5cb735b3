"""Sketching: a form or a setting for changed lines that the dialect does not know yet."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct, field

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form
from cfgaudit.dialect.teach.lesson import Changed, Spoken, known, spoken_lines
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text

_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_./\[\]-]*")
_HOLE = re.compile(r"\{[a-z_][a-z0-9_]*\}")
_DIGITS = re.compile(r"[0-9]+")
_OPERATORS = ("=", ":=")


class Draft(Struct, frozen=True):
    """The data of a dialect as they shall be, and what is to be said of them."""

    data: dict[str, Any]
    notes: list[str] = field(default_factory=list)


def sketched(
    data: Mapping[str, Any], dialect: Dialect, lines: Sequence[Changed], dumps: Sequence[Dump]
) -> Draft:
    """The dialect's data with a form or a setting for each changed line that it does not know."""
    draft = Draft(copy.deepcopy(dict(data)))
    every = [one for dump in dumps for one in dump.statements]
    for changed in lines:
        texts = dict.fromkeys(text for text in (changed.before, changed.after) if text)
        strange = [text for text in texts if not known(dialect, changed.under, text)]
        statement = _statement(dialect, [*texts, *strange][-1])
        if not statement.words or statement.kind is Kind.STRAY:
            continue
        if len(strange) < len(texts) and _widened(draft, dialect, statement):
            continue
        alike = [one.words for one in every if _alike(dialect, one, statement, changed.under)]
        start = _value_word(dialect, statement)
        home = _home(draft, dialect, changed.under, dumps, statement.words[0])
        if start and not _is_row([*alike, statement.words], start):
            name = statement.words[dialect.name_word]
            home.setdefault("settings", {}).setdefault(name, {"text": None})
            draft.notes.append(f"new setting {name}")
            continue
        form = _form(dialect, [*alike, statement.words], start or 1)
        forms = home.setdefault("forms", [])
        if all(one["line"] != form["line"] for one in forms):
            forms.append(form)
            draft.notes.append(f"new form {form['line']!r}")
    return draft


def _statement(dialect: Dialect, text: str) -> Statement:
    return read_statements(Text("", f"{text}\n", "utf-8", mark=False), dialect.family).statements[0]


def _widened(draft: Draft, dialect: Dialect, statement: Statement) -> bool:
    """Let the last cell of a form take all words that follow, if only that keeps a line from fitting."""
    for scope, home in zip(dialect.scopes, (draft.data, *draft.data.get("scopes", ())), strict=True):
        for form, spec in zip(scope.forms, home.get("forms", ()), strict=False):
            if _fits_but_for_the_last(form, statement.words):
                draft.notes.append(f"the last cell of {form.line.text!r} takes all that follows")
                spec["line"] = f"{form.line.text[:-1]}...}}"
                return True
    return False


def _fits_but_for_the_last(form: Form, words: Sequence[str]) -> bool:
    *first, last = form.line.words
    if form.line.tail or not first or len(words) <= len(form.line.words):
        return False
    plain = _HOLE.fullmatch(last.text) and last.text[1:-1] not in form.key
    return bool(plain) and all(one.match(text) is not None for one, text in zip(first, words, strict=False))


def _alike(dialect: Dialect, one: Statement, other: Statement, under: str) -> bool:
    """Whether two lines differ at the most in the numbers of their first word, and in what follows it.

    Of assignments also the name may only differ in its numbers.
    """
    section = under.strip()[1:-1].strip() if dialect.family == "sectioned" else ""
    ends = max(1, _value_word(dialect, other))
    heads = [_DIGITS.sub("#", " ".join(each.words[:ends])) for each in (one, other)]
    return one.kind is other.kind and heads[0] == heads[1] and _bare(one.section) == _bare(section)


def _bare(section: str) -> str:
    return _DIGITS.sub("#", section)


def _value_word(dialect: Dialect, statement: Statement) -> int:
    """Which word of an assignment its value begins with; 0 if the line is none."""
    words = statement.words
    fixed = [word.text for word in dialect.assignment.words]
    if statement.kind is not Kind.ASSIGNMENT and (dialect.family != "columns" or len(words) < 2):
        return 0
    same = len(words) >= len(fixed) and all(
        a == b or b.startswith("{") for a, b in zip(words, fixed, strict=False)
    )
    return len(fixed) - 1 if same and _NAME.fullmatch(words[dialect.name_word]) else 0


def _is_row(alike: Sequence[Sequence[str]], start: int) -> bool:
    """Whether what is assigned are several cells, as many each time, rather than one value."""
    counts = {len(words) - start for words in alike}
    several = len(counts) == 1 and counts.pop() > 1
    return several and any(_DIGITS.search(word) for words in alike for word in words[start:])


def _form(dialect: Dialect, alike: Sequence[Sequence[str]], start: int) -> dict[str, Any]:
    """A form from lines of one kind: what is the same in all is fixed, the rest are cells."""
    words = alike[-1]
    least, most = min(map(len, alike)), max(map(len, alike))
    names: list[str] = []
    parts = [_numbered({one[n] for one in alike}, words[n], names) for n in range(start)]
    for n in range(start, least):
        texts = {one[n] for one in alike}
        if len(texts) == 1 and (not _DIGITS.search(words[n]) or words[n] in _OPERATORS):
            parts.append(words[n])
        else:
            names.append(f"c{n}")
            parts.append(f"{{c{n}}}")
    if most > least:
        names.append("rest")
        parts.append("{rest...}")
    line = dialect.assignment.separator.join(parts)
    return {"line": line, **({"cells": {name: {"text": None} for name in names}} if names else {})}


def _numbered(texts: set[str], word: str, names: list[str]) -> str:
    """A line's word, with a cell for its number if lines of the kind differ in it."""
    if len(texts) == 1:
        return word
    holes = iter(("n", "m", "k", "l"))
    made = ""
    end = 0
    for found in _DIGITS.finditer(word):
        name = next(holes)
        names.append(name)
        made += f"{word[end : found.start()]}{{{name}}}"
        end = found.end()
    return made + word[end:]


def _home(draft: Draft, dialect: Dialect, under: str, dumps: Sequence[Dump], first: str) -> dict[str, Any]:
    """The part of the file that a line belongs to; a section's is made if it is not there."""
    if not under:
        return draft.data
    if dialect.family != "sectioned":
        return _selected(draft, dialect, under, dumps, first)
    section = under.strip()[1:-1].split()
    names = iter(("n", "m", "k", "l"))
    line = " ".join(_DIGITS.sub(lambda _: f"{{{next(names)}}}", word, count=1) for word in section)
    scopes: list[dict[str, Any]] = draft.data.setdefault("scopes", [])
    for n, scope in enumerate(dialect.scopes[1:]):
        opens = scope.opens.words if scope.opens else ()
        if len(opens) == len(section) and all(
            word.match(text) is not None for word, text in zip(opens, section, strict=True)
        ):
            return scopes[n]
    for one in scopes:
        if one["opens"] == line:
            return one
    made: dict[str, Any] = {"opens": line}
    cells = {name[1:-1]: {"text": None} for name in _HOLE.findall(line)}
    scopes.append(made | ({"cells": cells} if cells else {}))
    return scopes[-1]


def _selected(
    draft: Draft, dialect: Dialect, under: str, dumps: Sequence[Dump], first: str
) -> dict[str, Any]:
    """The scope of a selector line, if such lines come under several selectors; else outside of all."""
    selectors = {one.under for dump in dumps for one in _under(dialect, dump, first)}
    typed = read_statements(Text("", f"{under}\n", "utf-8", mark=False), dialect.family).statements[0]
    for n, scope in enumerate(dialect.scopes[1:]):
        if len(selectors) > 1 and scope.opens and scope.opens.match(typed) is not None:
            found: dict[str, Any] = draft.data["scopes"][n]
            return found
    return draft.data


def _under(dialect: Dialect, dump: Dump, first: str) -> Iterator[Spoken]:
    lines = spoken_lines(dialect, dump.statements)
    return (one for one in lines if one.under and one.statement.words[:1] == (first,))
