"""Rows of switch positions: which of them arms, by the sheet's arming switch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from cfgaudit.dialect.draft import look, sheet
from cfgaudit.dialect.draft.group import Field, Guess, Question, Solved, Table, words_of
from cfgaudit.dialect.draft.spell import key_of

# What is added to a written channel: it is the radio's own, from 1 or 0, or a switch channel, from 1 or 0.
_OFFSETS = (0, 1, 4, 5)


class _Fit(Struct, frozen=True):
    table: Table
    low: Field
    high: Field
    channel: Field
    mode: Field
    row: str
    offset: int

    @property
    def word(self) -> str:
        return self.mode.texts[self.row]

    @property
    def said(self) -> str:
        shift = f"{self.channel.label} plus {self.offset}" if self.offset else self.channel.label
        return f"row {self.row}: {self.word} means arm, and the channel is {shift}"


def solve_modes(tables: Sequence[Table], tree: sheet.Tree) -> Solved:
    """The arming switch, if only one row and one way of counting fit."""
    want = (
        sheet.number(tree, "radio", "arm", "channel"),
        sheet.number(tree, "radio", "arm", "from_us"),
        sheet.number(tree, "radio", "arm", "to_us"),
    )
    channel, low, high = want
    if channel is None or low is None or high is None:
        return Solved()
    fits = [fit for table in tables for fit in _fits(table, channel, low, high)]
    arming = [fit for fit in fits if {"arm", "arming", "armed"} & set(words_of(fit.word))]
    likely = arming or fits
    if len(likely) != 1:
        readings = tuple(fit.said for fit in likely)
        ask = "move the arming range by one step, dump before and after"
        return Solved(questions=(Question("which row arms, and how channels are counted", readings, ask),))
    fit = likely[0]
    said = f"the one row with the sheet's {low} to {high} on channel {channel}"
    why = f"{fit.word} names itself, on {said}" if arming and len(fits) > 1 else said
    return Solved(tuple(_guesses(fit, why)))


def _fits(table: Table, channel: int, low: int, high: int) -> Iterator[_Fit]:
    pulses = [field for field in table.fields if look.pulses([*field.texts.values()])]
    for first in pulses:
        for second in pulses:
            if first is second or first.place != second.place:
                continue
            rows = [
                name
                for name, text in first.texts.items()
                if look.whole(text) == low and look.whole(second.texts.get(name, "")) == high
            ]
            for row in rows:
                yield from _in_row(table, first, second, row, channel)


def _in_row(table: Table, low: Field, high: Field, row: str, channel: int) -> Iterator[_Fit]:
    beside = [one for one in table.fields if one.place == low.place and row in one.texts]
    others = [one for one in beside if one not in (low, high)]
    for one in others:
        written = look.whole(one.texts[row])
        if written is None or not all(0 <= (look.whole(text) or 0) <= 18 for text in one.texts.values()):
            continue
        for mode in others:
            if mode is not one and channel - written in _OFFSETS and look.described([*mode.texts.values()]):
                distinct = sum(text == mode.texts[row] for text in mode.texts.values()) == 1
                words = all(look.whole(text) is None for text in mode.texts.values())
                if distinct and words:
                    yield _Fit(table, low, high, one, mode, row, channel - written)


def _guesses(fit: _Fit, why: str) -> Iterator[Guess]:
    path = f"modes.{{{fit.mode.cell}}}.{{{fit.table.key}}}"
    for place, cell in fit.table.named_by:
        yield Guess(place, cell, "text", "", "names the rows")
    rest = dict.fromkeys(text for text in fit.mode.texts.values() if text != fit.word)
    words = ", ".join([f"{key_of(fit.word)}: arm", *(f"{key_of(word)}: none" for word in rest)])
    doubt = "the other words give nothing until they are taught" if rest else ""
    yield Guess(fit.mode.place, fit.mode.cell, f"{{words: {{{words}}}}}", "", why, doubt)
    spec = f"{{integer: {{offset: {fit.offset}}}}}" if fit.offset else "integer"
    yield Guess(fit.channel.place, fit.channel.cell, spec, f"{path}.channel", why)
    yield Guess(fit.low.place, fit.low.cell, "integer", f"{path}.from_us", why)
    yield Guess(fit.high.place, fit.high.cell, "integer", f"{path}.to_us", why)
