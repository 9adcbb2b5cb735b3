"""CEL, behind one door: compile, evaluate, and never mistake an error for an answer.

The library hands a run-time error back as a value that is truthy; here only a value of type BOOL
counts as a judgement. Touching a variable converts all of it, so the trees are cut down to the
branches that a rule's expressions name.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import cache, cached_property
from typing import Any

from msgspec import Struct

from cfgaudit.audit.fault import Fault, compile_fault, in_one_line
from cfgaudit.model.value import Json

ROOTS = ("model", "build", "derived")
# The words that CEL keeps for itself, from the grammar in its published language definition.
RESERVED = frozenset(
    [
        "as",
        "break",
        "const",
        "continue",
        "else",
        "false",
        "for",
        "function",
        "if",
        "import",
        "in",
        "let",
        "loop",
        "namespace",
        "null",
        "package",
        "return",
        "true",
        "var",
        "void",
        "while",
    ]
)
MAPS_MOST = 2  # each may hold its entry many times over, so a chain of them grows like a power
Mention = tuple[str, ...]  # a branch that an expression names: ("model", "ports")

_MENTION = re.compile(r"\b(?:model|build|derived)\b(?:\.[A-Za-z_]\w*\b(?!\s*\())*")
_DOTTED = re.compile(r"[A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*")
_MAP = re.compile(r"\.\s*map\s*\(")


class Expression(Struct, frozen=True, dict=True):
    """An expression over the three trees and the names bound by a rule's loops.

    It is compiled when it is first looked at: of all sentences in a rule book a run needs a few.
    """

    text: str
    names: tuple[str, ...]
    trusted: bool = False  # its names and types have been checked before

    @cached_property
    def program(self) -> Any:
        """The compiled expression. Raises Fault."""
        return _compiled(self.text, self.names, self.trusted)

    @cached_property
    def mentions(self) -> frozenset[Mention]:
        """The branches of the trees that it looks at."""
        return frozenset(tuple(found[0].split(".")) for found in _MENTION.finditer(self.text))

    @cached_property
    def dotted(self) -> tuple[str, ...]:
        """The keys, if the expression only names a value (``device.port``); else none."""
        return tuple(self.text.split(".")) if _DOTTED.fullmatch(self.text) else ()


class Surroundings(Struct, frozen=True):
    """The data of one judgement, ready for several expressions."""

    data: Mapping[str, Json]
    activation: Any


@cache
def _environment(names: tuple[str, ...]) -> Any:
    from cel_expr_python import cel

    return cel.NewEnv(variables=dict.fromkeys((*ROOTS, *names), cel.Type.DYN))


@cache
def _compiled(text: str, names: tuple[str, ...], trusted: bool) -> Any:
    if len(_MAP.findall(text)) > MAPS_MOST:
        raise Fault(f"more than {MAPS_MOST} map() in one expression")
    try:
        return _environment(names).compile(text, disable_check=trusted)
    except RuntimeError as error:
        raise compile_fault(str(error), text, (*ROOTS, *names)) from None


def check_truth(expression: Expression) -> None:
    """Raises Fault if the expression does not compile, or can never give true or false."""
    from cel_expr_python import cel

    given = expression.program.return_type()
    if given not in (cel.Type.BOOL, cel.Type.DYN):
        raise Fault(f"gives {given.name()}, not true or false")


def branches(trees: Mapping[str, Json], mentions: frozenset[Mention]) -> dict[str, Json]:
    """The trees, cut down to the branches that are mentioned."""
    whole = {m for m in mentions if not any(m[:n] in mentions for n in range(1, len(m)))}
    cut: dict[str, Json] = {root: {} for root in ROOTS}
    for mention in whole:
        node: Json = dict(trees)
        copy = cut
        for key in mention[:-1]:
            node = node.get(key) if isinstance(node, dict) else None
            if not isinstance(node, dict):
                break
            inner = copy.setdefault(key, {})
            assert isinstance(inner, dict)  # only made here, as a part of what another mention wants
            copy = inner
        if isinstance(node, dict) and mention[-1] in node:
            copy[mention[-1]] = node[mention[-1]]
    return cut


def surroundings(cut: Mapping[str, Json], bound: Mapping[str, Json], names: tuple[str, ...]) -> Surroundings:
    """The data for the expressions of one judgement: trees cut by ``branches``, and bound names."""
    data = {**cut, **bound}
    return Surroundings(data, _environment(names).Activation(data))


def truth(expression: Expression, around: Surroundings) -> bool:
    """The judgement. Raises Fault unless the result is a boolean."""
    from cel_expr_python import cel

    result = _result(expression, around)
    if result.type() == cel.Type.BOOL:
        return bool(result.value())
    raise Fault(f"gives {result.type().name()}, not true or false")


def value(expression: Expression, around: Surroundings) -> Json:
    """The value, as plain data. Raises Fault on an error, and on what is no JSON."""
    found: Json = dict(around.data)
    for key in expression.dotted:
        found = found.get(key) if isinstance(found, dict) else None
    if expression.dotted and found is not None:
        return found  # what CEL would say, without compiling
    return _json(_result(expression, around).plain_value())


def _result(expression: Expression, around: Surroundings) -> Any:
    from cel_expr_python import cel

    try:
        result = expression.program.eval(around.activation)
    except RuntimeError as error:  # the library's own limits, such as its number of steps
        raise Fault(in_one_line(str(error))) from None
    if result.type() == cel.Type.ERROR:
        raise Fault(in_one_line(str(result.value())))
    return result


def _json(plain: Any) -> Json:
    """CEL also knows bytes, times, types, infinity and keys that are no texts."""
    if isinstance(plain, list):
        return [_json(one) for one in plain]
    if isinstance(plain, dict) and all(isinstance(key, str) for key in plain):
        return {key: _json(one) for key, one in plain.items()}
    if isinstance(plain, float) and not math.isfinite(plain):
        raise Fault(f"gives {plain}, which is no number to work with")
    if plain is None or isinstance(plain, bool | int | float | str):
        return plain
    raise Fault("gives neither a text nor a number, true, false, a list or a map")
