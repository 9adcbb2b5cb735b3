"""Where in a YAML file a character of a text stands, whichever way the text is written there.

YAML folds lines, strips indentation and resolves escapes, so an offset in a text is no offset in the
file. Its characters that are no blanks, though, stand in the file in the same order: counting them
finds the way back, also when the text's blanks were changed afterwards.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed

# What may stand before a value: an anchor, a tag, the blanks and line ends after them.
_PROPERTY = re.compile(r"[&!][^\s]*\s+")
_HEX = {"x": 2, "u": 4, "U": 8}
_BLANKS = frozenset("ntvfrNLP_")  # escapes that stand for blanks: \n, \_; others stand for what is seen


def inside(placed: Placed, start: Place, text: str, offset: int) -> Place:
    """Where the character at an offset of a text stands; ``start`` is where the text's node starts.

    Of a blank it is the place of what comes next, of the text's end the place just behind it. A text
    that is only referred to (``*name``) has the place of the reference.
    """
    source, first = placed.text, placed.offset(start)
    while found := _PROPERTY.match(source, first):
        first = found.end()
    total, before = _solid(text), _solid(text[:offset])
    if source[first : first + 1] in ("*", "") or not total:
        return start
    last = first
    for number, last in enumerate(_written(source, first)):
        if number == before:
            return placed.at(last)
        if number == total - 1:  # the text ends here, whatever the file goes on with
            break
    return placed.at(last + 1)


def _solid(text: str) -> int:
    return sum(not character.isspace() for character in text)


def _written(source: str, first: int) -> Iterator[int]:
    """The offsets at which the characters that are no blanks begin."""
    style = source[first]
    if style == '"':
        yield from _double_quoted(source, first + 1)
    elif style == "'":
        yield from _single_quoted(source, first + 1)
    else:
        if style in "|>":  # the line of the sign has only figures and a remark behind it
            end = re.compile(r"[\r\n]").search(source, first)
            first = end.start() if end else len(source)
        yield from (at for at in range(first, len(source)) if not source[at].isspace())


def _single_quoted(source: str, first: int) -> Iterator[int]:
    at = first
    while at < len(source):
        if not source[at].isspace():
            yield at
        at += 2 if source[at] == "'" else 1  # a quote is written twice


def _double_quoted(source: str, first: int) -> Iterator[int]:
    at = first
    while at < len(source):
        if source[at] != "\\":
            if not source[at].isspace():
                yield at
            at += 1
            continue
        sign = source[at + 1 : at + 2]
        digits = _HEX.get(sign, 0)
        meant = chr(int(source[at + 2 : at + 2 + digits], 16)) if digits else sign
        if not meant.isspace() and sign not in _BLANKS:
            yield at
        at += 2 + digits
