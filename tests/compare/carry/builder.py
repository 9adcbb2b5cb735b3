"""A builder at work: a dump in which some settings are set to other values that they may have."""

from __future__ import annotations

from random import Random

from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dump.text import Text
from tests.dialect.others import others


def at_work(reading: Reading, dice: Random, share: float) -> Text:
    """The dump's text with some of its lines changed, in one cell or in several."""
    texts = {one.line: one.text for one in reading.dump.statements}
    for entry in reading.entries:
        if not entry.opens and dice.random() < share:
            texts[entry.statement.line] = f"{_other(entry, dice)}\n"
    return Text("mine.txt", "".join(texts.values()), "utf-8", mark=False)


def _other(entry: Entry, dice: Random) -> str:
    free = [name for name in entry.form.cells if name not in entry.form.key]
    chosen = dice.sample(free, dice.randint(1, len(free))) if free else []
    texts = dict(entry.texts)
    for name in chosen:
        texts[name] = _text(entry.form.cells[name], texts[name], dice)
    return entry.form.line.render(texts)


def _text(cell: Cell, text: str, dice: Random) -> str:
    """Another text that the cell takes; the same if there is none."""
    try:
        held = cell.codec.read(text)
    except Misfit:
        return text
    if isinstance(held, dict):
        field = dice.choice([*held])
        choices = others(cell, field, held[field])
        return cell.codec.write({**held, field: dice.choice(choices)}) if choices else text
    choices = others(cell, "", held)
    return cell.codec.write(dice.choice(choices)) if choices else text
