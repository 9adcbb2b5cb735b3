"""CEL, behind one door: compile, evaluate, and never mistake an error for an answer.

The library hands a run-time error back as a value that is truthy; here only a value of type BOOL
counts as a judgement. Touching a variable converts all of it, so the trees are cut down to the
sections that an expression names.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from cfgaudit.model.value import Json

ROOTS = ("model", "build", "derived")
_MENTION = re.compile(r"\b(model|build|derived)\b(?:\.([A-Za-z_]\w*))?")
_PLACE = re.compile(r"ERROR: <input>:(\d+):(\d+): ([^\n]*)")


class Fault(Exception):
    """An expression that does not compile, or that ends in an error with the data at hand.

    ``column`` counts from 1 within the expression's own text.
    """

    def __init__(self, what: str, column: int = 1) -> None:
        super().__init__(what)
        self.what = what
        self.column = column


@dataclass(frozen=True)
class Expression:
    """An expression over the three trees and the names bound by a rule's loops.

    It is compiled when it is first looked at: of all sentences in a rule book a run needs a few.
    """

    text: str
    names: tuple[str, ...]

    @cached_property
    def program(self) -> Any:
        """The compiled expression. Raises Fault."""
        try:
            return _environment(self.names).compile(self.text)
        except RuntimeError as error:
            raise _compile_fault(str(error)) from None

    @cached_property
    def mentions(self) -> frozenset[tuple[str, str]]:
        """The sections of the trees that it looks at: (root, section); section "" is all of it."""
        return frozenset((found[1], found[2] or "") for found in _MENTION.finditer(self.text))


@dataclass(frozen=True)
class Surroundings:
    """The data of one judgement, ready for several expressions."""

    activation: Any


@cache
def _environment(names: tuple[str, ...]) -> Any:
    from cel_expr_python import cel

    return cel.NewEnv(variables={name: cel.Type.DYN for name in (*ROOTS, *names)})


def surroundings(
    trees: Mapping[str, Mapping[str, Json]],
    bound: Mapping[str, Json],
    mentions: frozenset[tuple[str, str]],
    names: tuple[str, ...],
) -> Surroundings:
    """The data for expressions with these mentions, cut to what they look at."""
    data: dict[str, Any] = dict(bound)
    for root in ROOTS:
        sections = {section for where, section in mentions if where == root}
        tree = trees[root]
        data[root] = tree if "" in sections else {key: tree[key] for key in sections if key in tree}
    return Surroundings(_environment(names).Activation(data))


def truth(expression: Expression, around: Surroundings) -> bool:
    """The judgement. Raises Fault unless the result is a boolean."""
    from cel_expr_python import cel

    result = expression.program.eval(around.activation)
    if result.type() == cel.Type.BOOL:
        return bool(result.value())
    if result.type() == cel.Type.ERROR:
        raise Fault(_plain(str(result.value())))
    raise Fault(f"gives {result.type().name()}, not true or false")


def value(expression: Expression, around: Surroundings) -> Json:
    """The value, as plain data. Raises Fault on an error."""
    from cel_expr_python import cel

    result = expression.program.eval(around.activation)
    if result.type() == cel.Type.ERROR:
        raise Fault(_plain(str(result.value())))
    plain: Json = result.plain_value()
    return plain


def _compile_fault(message: str) -> Fault:
    found = _PLACE.search(message)
    if not found:
        return Fault(_plain(message))
    what = re.sub(r", expecting \{.*|, expecting .*| expecting \{.*", "", found[3])
    return Fault(_plain(what), int(found[2]) + 1)


def _plain(message: str) -> str:
    text = re.sub(r"\s*\[[A-Z_]+\]\s*$", "", message.strip())
    text = re.sub(r"^[A-Z_]+: ", "", text)
    return text.splitlines()[0] if text else "an error without a word"
