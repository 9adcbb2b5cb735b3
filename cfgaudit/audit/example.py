"""Examples: one of a rule's failing cases and how it would be right, in the hand of a firmware.

The cases are the rule's own test, so what is shown is what it finds fault with and what it lets be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any

import yaml
from msgspec import Struct

from cfgaudit.audit.audit import evidence
from cfgaudit.audit.cases import Paper
from cfgaudit.audit.finding import Finding
from cfgaudit.audit.judge import Fails, judge
from cfgaudit.audit.rule import Case, Rule
from cfgaudit.dialect.codec.port import Port
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.read import pasted, read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dialect.write import write
from cfgaudit.dump.statement import Kind
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.sheet import normalise
from cfgaudit.model.value import Json, Value, spoken

Leaves = Mapping[Path, Value]

# The ports of a firmware that numbers them by itself, where no sheet tells: as the chip has them
_AS_ON_CHIP = {0: "USB", **{n: f"UART{n}" for n in range(1, 11)}}


class Example(Struct, frozen=True):
    """A configuration in lines, and what the rule says of it; "" if nothing.

    ``sheet`` is the part of a build sheet that it is held against. ``cannot`` is what the firmware has
    no way to write.
    """

    sheet: tuple[str, ...]
    lines: tuple[str, ...]
    says: str
    cannot: tuple[str, ...] = ()


class Examples(Struct, frozen=True):
    """A rule's examples: the wrong ones are one, or none where a case needs more than lines."""

    wrong: tuple[Example, ...]
    right: tuple[Example, ...]
    by_mend: bool = False  # the right one is the wrong one, mended
    in_hand: bool = False  # in the firmware's hand, rather than by model paths


def examples(rule: Rule, reading: Reading | None) -> Examples:
    """A wrong and a right example of a rule whose cases have been read.

    ``reading`` is a dump in the firmware's hand; without one, model paths stand in place of lines. In
    a firmware's hand an example is shown if, read back, it is what it is called; if none is, as without.
    """
    cases = sorted((case for case in rule.cases if not case.reading), key=_size)
    failing = [case for case in cases if case.answer == "fails"]
    holding = [case for case in cases if case.answer == "holds"]
    for case in failing:
        failed = _failed(rule, case.model, case.build)
        leaves = _leaves(case.model)
        wrong = _example(case, leaves, failed.text if failed else "", reading)
        if not _is_so(rule, case, wrong, reading, fails=True):
            continue
        if failed and (wanted := dict(failed.mend.wanted)):
            right = _example(case, {**leaves, **wanted}, "", reading)
            if _is_so(rule, case, right, reading, fails=False):
                return Examples((wrong,), (right,), True, reading is not None)
        others = ((one, _example(one, _leaves(one.model), "", reading)) for one in holding)
        right_ones = (made for one, made in others if _is_so(rule, one, made, reading, fails=False))
        return Examples((wrong,), tuple(islice(right_ones, 1)), False, reading is not None)
    return examples(rule, None) if reading else Examples((), ())


def _is_so(rule: Rule, case: Case, example: Example, reading: Reading | None, *, fails: bool) -> bool:
    """Whether the rule says of an example's lines, read back, what it is meant to say."""
    if reading is None:
        return True
    if example.cannot:
        return False
    typed = Text("", "".join(f"{line}\n" for line in example.lines), "utf-8", mark=False)
    read = pasted(_blank(reading), typed)
    return (_failed(rule, read.model.tree, case.build) is not None) is fails


def _size(case: Case) -> int:
    return len(str(case.model)) + len(str(case.build))


def _failed(rule: Rule, model: Mapping[str, Json], build: Mapping[str, Json]) -> Finding | None:
    seen = evidence((rule,), model, normalise(dict(build)), {}, Paper())
    return next((one.finding for one in judge(rule, seen) if isinstance(one, Fails)), None)


def _leaves(model: Mapping[str, Json]) -> dict[Path, Value]:
    return dict(_walk((), dict(model)))


def _walk(path: Path, node: Json) -> Iterator[tuple[Path, Value]]:
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from _walk((*path, str(key)), inner)
    elif isinstance(node, list):
        yield path, tuple(one for one in node if isinstance(one, bool | int | float | str))
    elif node is not None:
        yield path, node


def _example(case: Case, leaves: Leaves, says: str, reading: Reading | None) -> Example:
    sheet = tuple(_yaml(case.build))
    if reading is None:
        return Example(
            sheet, tuple(f"{dotted(path)} = {spoken(value)}" for path, value in leaves.items()), says
        )
    blank = _blank(reading)
    made = write(blank, in_shape(blank.dialect, leaves))
    return Example(sheet, made.lines, says, made.cannot)


def _yaml(build: Mapping[str, Json]) -> Iterator[str]:
    """A part of a build sheet as people write it."""
    for key, value in build.items():
        data: Any = {key: value}
        text: str = yaml.safe_dump(
            data, default_flow_style=None, sort_keys=False, allow_unicode=True, width=88
        )
        yield from text.rstrip("\n").splitlines()


def _blank(reading: Reading) -> Reading:
    """A dump of the same firmware and version that says nothing."""
    remarks = [one.text for one in reading.dump.statements if one.kind is Kind.REMARK]
    head = Text(
        reading.dump.file, "".join(f"{line.rstrip()}\n" for line in remarks[:20]), "utf-8", mark=False
    )
    dialect = reading.recognition.dialect
    numbers = {} if not dialect.numbers_ports or _is_numbered(dialect) else _AS_ON_CHIP
    return read_dump(head, as_dialect(head, dialect.on_board(numbers)))


def _is_numbered(dialect: Dialect) -> bool:
    """Whether the dialect has been told the board's numbers of its ports."""
    codecs = (cell.codec for scope in dialect.scopes for form in scope.forms for cell in form.cells.values())
    return any(isinstance(codec, Port) and codec.numbers for codec in codecs)


# A case in a firmware's shape


def in_shape(dialect: Dialect, leaves: Leaves) -> dict[Path, Value]:
    """The leaves as a firmware has them: without its constants; a port's rate where it keeps it; switch
    ranges counted from where it begins to count."""
    return dict(_shaped(dialect, leaves))


def _shaped(dialect: Dialect, leaves: Leaves) -> Iterator[tuple[Path, Value]]:
    for path, value in leaves.items():
        if path in dialect.constants:
            continue
        match path:
            case ("ports", id, "rate_baud") if not any(dialect.giving(path)):
                jobs = leaves.get(("ports", id, "functions"), ())
                for job in jobs if isinstance(jobs, tuple) else ():
                    yield ("ports", id, "rates_baud", str(job)), value
            case ("modes", mode, slot, leaf) if slot.isdecimal():
                yield ("modes", mode, str(int(slot) + _first_slot(dialect, path)), leaf), value
            case _:
                yield path, value


def _first_slot(dialect: Dialect, path: Path) -> int:
    found = next(dialect.giving(path), None)
    if found is None:
        return 0
    scope, form, _, keys = found
    name = next(name for name, key in keys.items() if key == path[2])
    cell = form.cells.get(name) or scope.cells[name]
    return next((number for number in range(9) if not cell.outside(number)), 0)
