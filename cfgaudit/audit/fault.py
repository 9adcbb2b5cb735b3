"""What is wrong with an expression, and where in it: CEL's own messages in a builder's words."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence

from cfgaudit.model.placed import shown

_MEND = "mend the rule's expression"
_FIRST = re.compile(r"ERROR: <input>:(-?\d+):(-?\d+): ([^\n]*)")  # lines and columns from 1
_EXPECTING = re.compile(r",? expecting .*")
_UNDECLARED = re.compile(r"undeclared reference to '([^']*)'")
_OVERLOAD = re.compile(r"found no matching overload for '([^']*)' applied to '\((.*)\)'")
_OPERATORS = {"_?_:_": "the choice ? :", "_[_]": "the index [ ]"}


class Fault(Exception):
    """An expression that does not compile, or that ends in an error with the data at hand.

    ``offset`` counts from 0 within the expression's own text; ``mend`` says what to do about it.
    """

    def __init__(self, what: str, offset: int = 0, mend: str = _MEND) -> None:
        super().__init__(what)
        self.what = what
        self.offset = offset
        self.mend = mend


def compile_fault(message: str, text: str, names: Sequence[str]) -> Fault:
    """The first of the compiler's errors; ``names`` are those that the expression may use."""
    found = _FIRST.search(message)
    if not found:
        return Fault(in_one_line(message))
    offset = _offset(text, int(found[1]), int(found[2]))
    said = found[3]
    if name := _UNDECLARED.match(said):
        return _unknown_name(name[1], offset, text, names)
    if overload := _OVERLOAD.match(said):
        return Fault(_no_overload(overload[1], overload[2].split(", ")), offset)
    what = _EXPECTING.sub("", said)
    if what.endswith("mismatched input '<EOF>'"):
        what = "Syntax error: it ends too early"
    return Fault(in_one_line(what.replace("'<EOF>'", "its end")), offset)


def in_one_line(message: str) -> str:
    """An error of the library in one line, without its code."""
    text = re.sub(r"\s*\[[A-Z_]+\]\s*$", "", message.strip())
    text = re.sub(r"^[A-Z_]+: ", "", text)
    return shown(text.splitlines()[0], 200) if text else "an error without a word"


def _offset(text: str, line: int, column: int) -> int:
    lines = text.split("\n")
    before = sum(len(one) + 1 for one in lines[: max(0, line - 1)])
    return min(max(0, before + column - 1), len(text))


def _unknown_name(dotted: str, offset: int, text: str, names: Sequence[str]) -> Fault:
    # The compiler points at the last dot, or at the bracket behind a function's name.
    written = re.compile(r"\s*\.\s*".join(map(re.escape, dotted.split("."))))
    spans = (one.span() for one in written.finditer(text))
    at, end = next((span for span in spans if span[0] <= offset <= span[1]), (offset, offset))
    if at < end and text[end : end + 1] == "(":
        return Fault(f"there is no function {shown(dotted)!r} here", at)
    name = dotted.partition(".")[0]
    near = difflib.get_close_matches(name, names, 1, 0.6)
    mend = f"did you mean {near[0]!r}? " if near else ""
    return Fault(f"nothing is called {shown(name)!r} here", at, f"{mend}names here are {', '.join(names)}")


def _no_overload(operator: str, types: Sequence[str]) -> str:
    word = _OPERATORS.get(operator) or f"{operator.strip('_@')!r}"
    taken = " and ".join("any value" if one == "dyn" else one for one in types)
    return f"{word} does not work with {taken}"
