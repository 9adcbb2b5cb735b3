"""Faults of the text itself: its header, and lines that are damaged, unknown or there twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from random import Random

from msgspec import Struct

from cfgaudit.dialect.reading import Entry
from cfgaudit.dump.statement import Kind as StatementKind
from tests.faults.plant import Craft, Planted, rewritten


class TextKind(Struct, frozen=True):
    """One kind of fault of the text."""

    name: str
    rules: tuple[str, ...]
    sow: Callable[[Craft, Random], Iterable[Planted]]


def _replaced(craft: Craft, line: int, new: str) -> Planted:
    return Planted(craft.name, f"line {line}: {new.strip()}", rewritten(craft, {line: new}), line)


def _header(craft: Craft, old: str, new: Iterable[str]) -> Iterator[Planted]:
    for n, line in enumerate(craft.lines, 1):
        if old in line and line.lstrip().startswith(craft.good.dialect.remark):
            yield from (_replaced(craft, n, line.rstrip("\n").replace(old, one)) for one in new)
            return


def _boards(craft: Craft, dice: Random) -> Iterator[Planted]:
    others = ("Reed-405", "Sedge-743", "Mallow-474", "Alder-722")
    yield from _header(
        craft,
        str(craft.declared("board", "name")),
        (one for one in others if one != craft.declared("board", "name")),
    )


def _chips(craft: Craft, dice: Random) -> Iterator[Planted]:
    chip = str(craft.declared("board", "chip"))
    others = ("STM32F405RGT6", "STM32H743VIT6", "STM32G474RET6", "STM32F722RET6", "STM32F411CEU6")
    yield from _header(craft, chip, (one for one in others if one[:9] != chip[:9]))


def _versions(craft: Craft, dice: Random) -> Iterator[Planted]:
    version = str(craft.told["firmware", "version"])
    yield from _header(craft, version, ("0.9", "0.9.9", "9.0", "9.1.2"))


def _settings(craft: Craft) -> list[int]:
    """The lines of settings that have a number."""
    return [
        one.line
        for one in craft.good.dump.statements
        if one.kind not in (StatementKind.BLANK, StatementKind.REMARK, StatementKind.SECTION)
        and re.search(r"[0-9]", one.shown)
    ]


def _last(craft: Craft, entry: Entry, old: str, new: str) -> str:
    """A line with the last of a word in it changed."""
    line = craft.lines[entry.statement.line - 1].rstrip("\n")
    return re.sub(rf"\b{re.escape(old)}\b(?!.*\b{re.escape(old)}\b)", new, line)


def _unknown(craft: Craft, dice: Random) -> Iterator[Planted]:
    for line in dice.sample(_settings(craft), 40):
        yield _replaced(craft, line, f"qq{craft.lines[line - 1].strip()}")


def _repeated(craft: Craft, dice: Random) -> Iterator[Planted]:
    """A named setting again at the end, with another number: the last one wins."""
    for entry in dice.sample([*craft.good.entries], min(300, len(craft.good.entries))):
        shown = entry.statement.shown
        number = re.search(r"([0-9]+)$", shown)
        if entry.factory or entry.head or not number or not entry.form.name:
            continue
        again = f"{shown[: number.start()]}{int(number[1]) + 1}\n"
        reading = rewritten(craft, {}, again)
        if reading.repeats and not reading.doubts:
            yield Planted(craft.name, f"again: {again.strip()}", reading, len(craft.lines) + 1)


def _out_of_range(craft: Craft, dice: Random) -> Iterator[Planted]:
    for entry in dice.sample([*craft.good.entries], len(craft.good.entries)):
        for name, cell in entry.form.cells.items():
            text = entry.texts.get(name, "")
            if (
                entry.factory
                or not re.fullmatch(r"[0-9]+", text)
                or not float("-inf") < cell.range.high < 1e5
            ):
                continue
            new = re.sub(
                rf"\b{text}\b(?!.*\b{text}\b)", "987654", craft.lines[entry.statement.line - 1].rstrip("\n")
            )
            fault = _replaced(craft, entry.statement.line, new)
            if any(one.kind == "range" for one in fault.reading.doubts):
                yield fault


def _strange_word(craft: Craft, dice: Random) -> Iterator[Planted]:
    for entry in dice.sample([*craft.good.entries], len(craft.good.entries)):
        for name, text in entry.texts.items():
            if (
                entry.factory
                or entry.opens
                or name not in entry.form.cells
                or not re.fullmatch(r"[a-zA-Z-]{3,}", text)
            ):
                continue
            line = craft.lines[entry.statement.line - 1].rstrip("\n")
            fault = _replaced(
                craft, entry.statement.line, re.sub(rf"\b{text}\b(?!.*\b{text}\b)", "quux", line)
            )
            if any(one.kind == "word" for one in fault.reading.doubts):
                yield fault


def _garbled(craft: Craft, dice: Random) -> Iterator[Planted]:
    for line in dice.sample(_settings(craft), 60):
        text = craft.lines[line - 1].strip()
        fault = _replaced(craft, line, re.sub(r"[0-9]+(?!.*[0-9])", "4z7", text))
        if any(one.kind == "form" for one in fault.reading.doubts):
            yield fault


def _no_switch(craft: Craft, dice: Random) -> Iterator[Planted]:
    """The line that gives the arming switch, gone."""
    givers = {craft.good.givers[path].statement.line for path in craft.under("modes", "arm")}
    if len(givers) == 1:
        line = givers.pop()
        yield Planted(craft.name, "no arming switch", rewritten(craft, {line: ""}), line)


TEXTS: tuple[TextKind, ...] = (
    TextKind("a dump of another board", ("identity/other-board",), _boards),
    TextKind("a dump of another chip", ("identity/other-chip",), _chips),
    TextKind(
        "a version that is too old or too new",
        ("identity/version-outside-sheet", "identity/version-outside-dialect"),
        _versions,
    ),
    TextKind("an arming switch that is gone", ("arming/no-switch",), _no_switch),
    TextKind("a line that nobody knows", ("file/lines-unknown",), _unknown),
    TextKind("a line that comes again", ("file/line-repeated",), _repeated),
    TextKind("a number out of range", ("file/value-out-of-range",), _out_of_range),
    TextKind("a word that nobody knows", ("file/word-unknown",), _strange_word),
    TextKind("a number that is none", ("file/line-garbled",), _garbled),
)
