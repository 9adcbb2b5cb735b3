"""Which family's grammar a text is to be read by when no dialect says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

_SECTION = re.compile(r"^[ \t]*\[[^\]\r\n]*[^\] \t\r\n][^\]\r\n]*\][ \t]*(?:[#~;][^\r\n]*)?$", re.MULTILINE)
# C0 without tab, line ends, form feed, backspace, bell and escape, which captures hold; DEL and C1.
_CONTROL = re.compile("[\x00-\x06\x0b\x0e-\x1a\x1c-\x1f\x7f-\x9f]")
_NOISE = 50  # one character in so many may be line noise

_TOLD = re.compile(r"^[ \t]*([^#~; \t\r\n][^\r\n]*)", re.MULTILINE)  # a line that is no remark
_OPERATOR = re.compile(r"[ \t](?::=|=|:)(?:[ \t]|$)")
_QUOTES = re.compile(r'"(?:[^"\\]|\\.)*"')
# A name, a comma and values.
_COMMA = re.compile(r"[A-Za-z_][A-Za-z0-9_.\-/]*(?:\[[A-Za-z0-9_.\-]*\])?[ \t]*,[ \t]*[^ \t,]")
# A flat name, blanks, one or two values.
_BLANK = re.compile(
    r"(?P<name>[A-Za-z][A-Za-z0-9_]*)(?P<gap>[ \t]+)"
    r'(?P<first>"(?:[^"\\]|\\.)*"|[^ \t"=:][^ \t"]*)(?:[ \t]+(?:"(?:[^"\\]|\\.)*"|[^ \t"=:][^ \t"]*))?[ \t]*'
)
_TRAILER = re.compile(r"[ \t]+[#~;](?:[ \t].*)?$")
_STYLES = tuple(
    map(
        re.compile,
        (
            r"[A-Z][A-Z0-9]*(?:_[A-Z0-9]+)*",
            r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*",
            r"[A-Z][a-z0-9]+(?:[A-Z][a-z0-9]*)*",
        ),
    )
)
_COMPOUND = re.compile(r"[_0-9]")  # in a name: it is no keyword of a console
_NEARLY = 0.9  # of the lines
_SEEN = 400  # characters of a line
_FEWEST_COMMAS, _FEWEST_BLANKS = 3, 8  # lines from which on the family is told by their shape


def family_of(sources: Iterable[Text]) -> str:
    """``sectioned`` if one of these texts has a section line, ``columns`` if nearly all of their lines are
    a name and its values, else ``console``.
    """
    texts = [one.text.replace("\r", "\n") for one in sources]
    if any(_SECTION.search(text) for text in texts):
        return "sectioned"
    return "columns" if separator_of(texts) else "console"


def separator_of(texts: Iterable[str]) -> str:
    """What stands between names and values in texts of the columns family: a comma or a blank.

    ``""`` if they are of another family, or if there is any doubt.
    """
    told = [[found[1] for found in _TOLD.finditer(text)] for text in texts]
    count = sum(map(len, told))
    lines = [line for lines in told for line in lines]
    if count >= _FEWEST_COMMAS and sum(map(is_comma_line, lines)) >= _NEARLY * count:
        return ","
    return " " if count >= _FEWEST_BLANKS and _are_blank_columns(told) else ""


def is_comma_line(line: str) -> bool:
    """Whether a line without its indentation is a name, a comma and values, and has no operator."""
    return bool(_COMMA.match(line)) and not _OPERATOR.search(_QUOTES.sub("", line[:_SEEN]))


def is_blank_line(line: str) -> bool:
    """Whether a line without its indentation is a flat name of several parts, and one or two values."""
    found = _blank_line(line)
    return found is not None and _COMPOUND.search(found["name"]) is not None


def _blank_line(line: str) -> re.Match[str] | None:
    return _BLANK.fullmatch(_TRAILER.sub("", line)) if len(line) <= _SEEN else None


def _are_blank_columns(told: Sequence[Sequence[str]]) -> bool:
    """Whether nearly all lines are a flat name and one or two values, nearly every name another.

    A console writes its settings so as well: names are of one style, and made of several words or
    numbered, unless tabs stand behind them.
    """
    count = sum(map(len, told))
    names: list[str] = []
    tabs = 0
    for lines in told:
        rows = [found for line in lines if (found := _blank_line(line))]
        own = [row["name"] for row in rows]
        if len(set(own)) < _NEARLY * len(own):
            return False
        names += own
        tabs += sum("\t" in row["gap"] for row in rows)
    if len(names) < _NEARLY * count:
        return False
    of_style = max(sum(style.fullmatch(name) is not None for name in names) for style in _STYLES)
    compound = sum(_COMPOUND.search(name) is not None for name in names)
    return of_style >= _NEARLY * count and (tabs >= _NEARLY * count or 2 * compound >= count)


def require_text(source: Text) -> Text:
    """The source itself. Raises Refusal if it is a program, a picture or the like."""
    noise = sum(1 for _ in _CONTROL.finditer(source.text))
    if noise * _NOISE > len(source.text):
        raise Refusal("this is no text", "give a dump as its firmware writes it", Place(source.file, 1, 1))
    return source
