"""A draft as YAML: what is settled with its evidence, the rest as texts with what they look like."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from cfgaudit.dialect.draft.group import Group, Guess, Lesson, Opening, Place, Question, Sketch, words_of
from cfgaudit.dialect.draft.head import Head
from cfgaudit.dialect.draft.look import described, names_secret
from cfgaudit.dialect.draft.spell import inline, key_of, remark
from cfgaudit.dump.read import Dump

MOST_FORMS = 900  # of a scope; a schema sets an end to them
SHOWN = 60  # characters of a value in a comment
LISTED = 40  # lines in the list at the end

_HOLE = re.compile(r"\{([a-z_0-9]+)\}")
_SEPARATORS = re.compile(r"[ ,]")

Guesses = Mapping[tuple[Place, str], Guess]


def paper(
    head: Head,
    sketch: Sketch,
    guesses: Sequence[Guess],
    questions: Sequence[Question],
    lessons: Sequence[Lesson],
    dump: Dump,
    family_why: str,
    sheet: str,
) -> str:
    """The draft's YAML. It loads, and knows every line of the dump that its grammar knows."""
    known = {(guess.place, guess.cell): guess for guess in guesses}
    lines = [
        *_top(head, sketch, dump, family_why, sheet),
        *_body(sketch, "", known, ""),
        *_scopes(sketch, known),
        *_lessons(lessons, sheet),
        *_questions(questions),
        *_left(sketch, known, dump),
    ]
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _top(head: Head, sketch: Sketch, dump: Dump, family_why: str, sheet: str) -> Iterator[str]:
    by = f" and {sheet}" if sheet else ""
    what = (
        f"A draft, made from {dump.file}{by}. Lines marked “settled” give the model a value and say by what;"
    )
    yield from _said("", f"{what} every other cell is known as text and gives nothing yet.")
    yield f"dialect: {inline(head.name)}"
    yield f"title: {inline(f'{head.name}, drafted from one dump')}"
    yield from _said("", f"evidence: {family_why}")
    yield f"family: {sketch.family}"
    if sketch.family == "columns":
        yield f"separator: {_quoted(sketch.separator)}"
    if head.header:
        yield "header:"
        for template, line in head.header:
            yield from _said("  ", f"evidence: made from the remark “{line}”")
            yield f"  - {_quoted(template)}"
    for doubt in head.doubts:
        yield from _said("", f"doubt: {doubt}")
    if not head.header:
        yield f"header: {_quoted(head.name + ' {firmware.version}')}"
    if head.extent:
        yield from _said("", f"evidence: “{next(iter(head.extent.values()))}” in the header")
        yield f"extent: {{{', '.join(f'{key}: {_quoted(word)}' for key, word in head.extent.items())}}}"
    yield f"remark: {_quoted(head.remark)}"
    assigned = sum(group.is_setting for group in sketch.groups)
    yield from _said("", f"evidence: {assigned} names are written so")
    yield f"assignment: {_quoted(sketch.assignment)}"


def _body(sketch: Sketch, opens: str, known: Guesses, indent: str) -> Iterator[str]:
    """The forms and settings of a scope."""
    groups = [group for group in sketch.groups if group.opens == opens]
    forms = sorted((one for one in groups if not one.is_setting), key=_generality)
    settings = [one for one in groups if one.is_setting]
    if forms:
        yield ""
        yield f"{indent}forms:"
        for form in forms[:MOST_FORMS]:
            yield from _form(form, known, indent)
        if len(forms) > MOST_FORMS:
            yield from _said(f"{indent}  ", f"{len(forms) - MOST_FORMS} more kinds of rows, taken together")
            yield f'{indent}  - line: "{{c1}}{sketch.separator}{{rest...}}"'
            yield f"{indent}    cells: {{c1: text, rest: text}}"
    if settings:
        yield ""
        yield f"{indent}settings:"
        for one in settings:
            yield from _setting(one, known, indent)


def _generality(group: Group) -> tuple[bool, int, int, int, int]:
    """Forms with more fixed letters come first: of several that fit a line the first is taken."""
    word = next((word for word in _SEPARATORS.split(group.line) if "{" in word), "")
    fixed = len(word) - (word.index("}") - word.index("{") + 1 if word else 0)
    letters = len(re.sub(r"\{[^}]*\}", "", group.line))
    return group.line.startswith("{"), -fixed, len(group.cells), -letters, group.first


def _form(group: Group, known: Guesses, indent: str) -> Iterator[str]:
    inner = f"{indent}    "
    gives = [guess for cell in group.cells if (guess := known.get((group.place, cell))) and guess.path]
    key = _key(group, gives)
    count = len(group.rows)
    why = f"evidence: {count} line{'s' if count > 1 else ''}, first at line {group.first}"
    if count > 1 and key:
        why += f"; told apart by {', '.join(key)}"
    if count == 1:
        why += "; doubt: what may change in a line is unknown from a single one"
    yield from _said(f"{indent}  ", why)
    yield f"{indent}  - line: {_quoted(group.line)}"
    yield f"{inner}key: [{', '.join(key)}]"
    if group.cells:
        yield f"{inner}cells:"
        for cell in group.cells:
            yield from _cell(group, cell, known.get((group.place, cell)), f"{inner}  ")
    if gives:
        yield f"{inner}gives:"
        for guess in gives:
            yield f'{inner}  "{guess.path}": {guess.cell}'


def _key(group: Group, gives: Sequence[Guess]) -> tuple[str, ...]:
    """The cells that stand in all the paths that the lines give; without any, those that tell them apart."""
    holes = [{*_HOLE.findall(guess.path)} for guess in gives]
    return tuple(cell for cell in group.cells if all(cell in one for one in holes)) if holes else group.key


def _cell(group: Group, cell: str, guess: Guess | None, indent: str) -> Iterator[str]:
    if guess:
        yield from _settled(guess, indent)
        yield f"{indent}{cell}: {guess.spec}"
    else:
        yield from _said(indent, f"open: looks like {described(group.column(cell))}")
        yield f"{indent}{cell}: text"


def _settled(guess: Guess, indent: str) -> Iterator[str]:
    doubt = f"; doubt: {guess.doubt}" if guess.doubt else ""
    yield from _said(indent, f"settled: {guess.why}{doubt}")


def _setting(group: Group, known: Guesses, indent: str) -> Iterator[str]:
    inner = f"{indent}  "
    guess = known.get((group.place, "value"))
    name = key_of(group.line)
    if guess:
        yield from _settled(guess, inner)
        yield f"{inner}{name}: {_with(guess.spec, f'is: {_path(guess.path)}')}"
        return
    texts = group.column("value")
    quoted = all(text.startswith('"') for text in texts)
    secret = names_secret(words_of(group.line)) or (quoted and [*words_of(group.line)][-1:] == ["home"])
    extras = [*(["quoted: true"] if quoted else []), *(["private: true"] if secret else [])]
    spec = f"{{text: , {', '.join(extras)}}}" if extras else "text"
    doubt = "; taken for nobody's business by its name" if secret else ""
    value = "" if secret else f", {_short(texts[-1])}"
    yield f"{inner}{name}: {spec}  # open: {remark(described(texts))}{remark(value)}{doubt}"


def _short(text: str) -> str:
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"


def _path(path: str) -> str:
    return f'"{path}"' if "{" in path else path


def _with(spec: str, extra: str) -> str:
    """A codec with an extra: ``integer`` → ``{is: …, integer: }``."""
    return f"{{{extra}, {spec[1:]}" if spec.startswith("{") else f"{{{extra}, {spec}: }}"


def _scopes(sketch: Sketch, known: Guesses) -> Iterator[str]:
    if not sketch.openings:
        return
    yield ""
    yield "scopes:"
    for opening in sketch.openings:
        yield from _said("  ", _scope_why(sketch, opening))
        yield f"  - opens: {_quoted(opening.opens)}"
        if opening.cells:
            yield "    cells:"
            for n, cell in enumerate(opening.cells):
                guess = known.get(((opening.opens, "", False), cell))
                if guess:
                    yield from _settled(guess, "      ")
                else:
                    texts = [row[n] for row in opening.rows]
                    yield from _said("      ", f"open: looks like {described(texts)}")
                yield f"      {cell}: {guess.spec if guess else 'text'}"
        yield from _body(sketch, opening.opens, known, "    ")


def _scope_why(sketch: Sketch, opening: Opening) -> str:
    rows = list(dict.fromkeys(" ".join(row) for row in opening.rows))
    if sketch.family == "sectioned":
        listed = f" ({', '.join(rows)})" if any(rows) else ""
        return f"evidence: a section, first at line {opening.first}{listed}"
    return (
        f"evidence: the same settings come again under each of {', '.join(rows)}, "
        f"first at line {opening.first}; doubt: the last such line may choose the profile in use"
    )


def _lessons(lessons: Sequence[Lesson], sheet: str) -> Iterator[str]:
    """What the sheet tells, kept as lessons: it is proved again with all that is taught later."""
    if not lessons:
        return
    yield ""
    yield from _said(
        "", f"evidence: what is settled of single lines by {sheet}; what is taught later must agree"
    )
    yield "lessons:"
    for lesson in lessons:
        under = f"under: {_quoted(lesson.said.under)}, " if lesson.said.under else ""
        yield f"  - facts: [{_quoted(lesson.fact)}]"
        yield f"    changed: [{{{under}after: {_quoted(lesson.said.text)}}}]"


def _questions(questions: Sequence[Question]) -> Iterator[str]:
    if questions:
        yield ""
        yield "# Open when this was drafted, and which readings were possible (a lesson says what still is):"
    for question in questions:
        count = len(question.readings)
        several = f"{count} readings fit" if count > 1 else "one may fit" if count else "no reading fits"
        yield from _said("", f"- {question.about}: {several}{f'; {question.ask}' if question.ask else ''}")
        for reading in question.readings[:LISTED]:
            yield from _said("", f"    {reading}")
        if len(question.readings) > LISTED:
            yield f"#     and {len(question.readings) - LISTED} more"


def _left(sketch: Sketch, known: Guesses, dump: Dump) -> Iterator[str]:
    """What has no place in the model yet, the astray lines first."""
    placed = {place for place, _ in known}
    open_groups = [group for group in sketch.groups if group.place not in placed]
    yield ""
    lines = sum(len(group.rows) for group in open_groups)
    yield f"# Not placed in the model: {lines} lines of {len(open_groups)} kinds."
    if sketch.astray:
        numbers = ", ".join(map(str, sketch.astray[:LISTED])) + (" …" if len(sketch.astray) > LISTED else "")
        yield from _said("", f"No rule of the {sketch.family} family knows line {numbers}.")
    rows: dict[str, list[str]] = defaultdict(list)
    for group in open_groups:
        rows[group.opens].append(group.line)
    for opens, named in rows.items():
        yield from _said("", f"  {opens or 'outside'}: {', '.join(named)}")


def _said(indent: str, text: str) -> Iterator[str]:
    """A comment, in lines that can be read."""
    width = max(40, 108 - len(indent))
    lead = " " * (len(text) - len(text.lstrip(" ")))
    for n, line in enumerate(_wrapped(remark(text).split(), width - len(lead) - 2)):
        yield f"{indent}# {lead}{'  ' if n else ''}{line}"


def _wrapped(words: Iterable[str], width: int) -> Iterator[str]:
    line = ""
    for word in words:
        if line and len(line) + len(word) + 1 > width:
            yield line
            line = word
        else:
            line = f"{line} {word}" if line else word
    yield line


def _quoted(text: str) -> str:
    made = inline(text)
    return made if made.startswith('"') else f'"{made}"'
