"""Three baselines of one firmware → one, setting by setting: what both sides changed since they parted.

Lines are told apart by what they set, never by where they stand. The cells of one line, and the fields
that are packed into one cell, are settings of their own unless they mean something only together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.baseline.facts import NOBODY_SAID, Facts, fact_lines, is_fact, read_facts
from cfgaudit.dialect.canonical import (
    Block,
    Order,
    Where,
    as_written,
    blocks,
    header_lines,
    line_order,
    selected,
    written_texts,
)
from cfgaudit.dialect.cell import Cell
from cfgaudit.dialect.codec.codec import Misfit
from cfgaudit.dialect.reading import Entry, Reading, Slot
from cfgaudit.dialect.setting import is_whole
from cfgaudit.dump.statement import Statement
from cfgaudit.model.value import Value

NOT_AUDITED = "not audited since two records were merged"
TWO_RECORDS = "two records, merged"

Thing = TypeVar("Thing")


class Both(Struct, frozen=True):
    """What the two sides have where they cannot be brought together; "" is no line."""

    ours: str
    theirs: str


class Merged(Struct, frozen=True):
    """The lines of the merged text, and those of which somebody has to choose one."""

    lines: tuple[str | Both, ...]

    @property
    def conflicts(self) -> int:
        """How many lines both sides changed differently."""
        return sum(isinstance(one, Both) for one in self.lines)

    def text(self, marker_size: int) -> str:
        """The text, with git's marks around each conflict."""
        return "".join(f"{line}\n" for one in self.lines for line in _marked(one, marker_size))


def _marked(one: str | Both, size: int) -> Iterator[str]:
    if isinstance(one, str):
        yield one
        return
    yield f"{'<' * size} ours"
    yield from filter(None, [one.ours])
    yield "=" * size
    yield from filter(None, [one.theirs])
    yield f"{'>' * size} theirs"


def why_not(base: Reading, ours: Reading, theirs: Reading) -> str:
    """Why three texts cannot be merged by their settings; "" if they can."""
    for side in (ours, theirs):
        if _facts(side) == NOBODY_SAID:
            return "one of the texts is no baseline"
        if side.dump.source.encoding != "utf-8" or side.dump.source.mark or side.dump.source.original:
            return "one of the texts is not as cfgaudit writes it"
    spoken = {(one.dialect.name, one.recognition.version, one.extent) for one in (base, ours, theirs)}
    return "they are of different firmwares, versions or kinds of dump" if len(spoken) > 1 else ""


def nothing_of(reading: Reading) -> Reading:
    """The same dump with nothing in it: what two sides have in common that were both added."""
    dump = replace(reading.dump, statements=())
    return replace(reading, dump=dump, entries=(), unknown=(), repeats=(), private=())


def merge(base: Reading, ours: Reading, theirs: Reading) -> Merged:
    """All that both sides changed. The texts must be of one firmware: see ``why_not``."""
    sides = tuple(map(_side, (base, ours, theirs)))
    body = tuple(_body(ours, *sides))
    mixed = not _same_settings(sides[0], sides[1]) and not _same_settings(sides[0], sides[2])
    mixed = mixed and not _same_settings(sides[1], sides[2])
    facts = _merged_facts(*(one.facts for one in sides), mixed=mixed)
    head = pick(*(one.header for one in sides))
    if isinstance(head, Undecided):
        head = _later(sides[1], sides[2]).header
    return Merged((*head, *fact_lines(facts, ours.dialect.remark), "", *body))


# Three ways


class Undecided(Struct, frozen=True):
    """Both sides changed it, each in its own way."""


UNDECIDED = Undecided()


def pick(base: Thing, ours: Thing, theirs: Thing) -> Thing | Undecided:
    """The one that changed; UNDECIDED where both did, differently."""
    if ours == theirs or theirs == base:
        return ours
    return theirs if ours == base else UNDECIDED


class _Side(Struct, frozen=True):
    header: tuple[str, ...]
    facts: Facts
    blocks: Mapping[Where, Block]
    selected: Mapping[Slot, str]


def _side(reading: Reading) -> _Side:
    header = tuple(header_lines(reading))

    def is_other(text: str) -> bool:
        return not is_fact(text) and " ".join(text.split()) not in header

    return _Side(header, _facts(reading), blocks(reading, _as_it_is, remarks=is_other), selected(reading))


def _as_it_is(one: Statement) -> str:
    return " ".join(one.text.split())


def _facts(reading: Reading) -> Facts:
    return read_facts(one.text for one in reading.dump.statements)


def _same_settings(one: _Side, other: _Side) -> bool:
    return _content(one) == _content(other)


def _content(side: _Side) -> object:
    """Everything but header and facts."""
    told = {
        where: (block.opening, {entry.slot: as_written(entry) for entry in block.known}, block.others)
        for where, block in side.blocks.items()
        if block.opening or block.known or block.others
    }
    return told, side.selected


# Lines, block by block


_NONE = Block("")


def _body(ours: Reading, *sides: _Side) -> Iterator[str | Both]:
    order = line_order(ours.dialect)
    for where in sorted({where for side in sides for where in side.blocks}):
        three = [side.blocks.get(where, _NONE) for side in sides]
        lines = [*_known(order, *three), *_others(*(block.others for block in three))]
        is_there = pick(*(where in side.blocks for side in sides))
        if not (lines or is_there):
            continue
        opening = next((block.opening for block in (*three[1:], three[0]) if block.opening), "")
        if where[0] or opening:
            yield ""
        if opening:
            yield opening
        yield from lines
    for at in dict.fromkeys(at for side in sides for at in side.selected):
        heads = [side.selected.get(at, "") for side in sides]
        chosen = pick(*heads)
        if chosen != "":
            yield ""
            yield Both(heads[1], heads[2]) if isinstance(chosen, Undecided) else chosen


def _known(order: Callable[[Entry], Order], *three: Block) -> Iterator[str | Both]:
    by_slot = [{entry.slot: entry for entry in block.known} for block in three]
    named = {at: entry for lines in by_slot for at, entry in lines.items()}
    for at, _ in sorted(named.items(), key=lambda one: order(one[1])):
        line = _line(*(lines.get(at) for lines in by_slot))
        if line != "":
            yield line


def _line(base: Entry | None, ours: Entry | None, theirs: Entry | None) -> str | Both:
    """The line that comes of three; "" for none."""
    texts = [as_written(one) if one else "" for one in (base, ours, theirs)]
    chosen = pick(*texts)
    if not isinstance(chosen, Undecided):
        return chosen
    if not (base and ours and theirs) or _mean_only_together(base, ours, theirs):
        return Both(texts[1], texts[2])
    return _by_cells(base, ours, theirs)


def _mean_only_together(*lines: Entry) -> bool:
    shapes = {one.form.line.text for one in lines}
    return len(shapes) > 1 or is_whole(lines[0].form)


def _by_cells(base: Entry, ours: Entry, theirs: Entry) -> str | Both:
    three = [written_texts(one) for one in (base, ours, theirs)]
    mine, other = dict(three[1]), dict(three[2])
    undecided = False
    for name, cell in ours.form.cells.items():
        chosen = _cell(cell, *(texts[name] for texts in three))
        if isinstance(chosen, Undecided):
            undecided = True
        else:
            mine[name] = other[name] = chosen
    line = ours.form.line
    return Both(line.render(mine), line.render(other)) if undecided else line.render(mine)


def _cell(cell: Cell, base: str, ours: str, theirs: str) -> str | Undecided:
    chosen = pick(base, ours, theirs)
    if not isinstance(chosen, Undecided):
        return chosen
    try:
        three = [cell.codec.read(text) for text in (base, ours, theirs)]
        fields: dict[str, Value] = {}
        for name in cell.fields:
            held = pick(*(values[name] for values in three if isinstance(values, Mapping)))
            if isinstance(held, Undecided):
                return held
            fields[name] = held
        return cell.codec.write(fields) if fields else UNDECIDED
    except (Misfit, KeyError):
        return UNDECIDED


def _others(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> list[str]:
    """Lines that nobody understands, as a set: what either side dropped is gone, what it added is there."""
    chosen = pick([*base], [*ours], [*theirs])
    if not isinstance(chosen, Undecided):
        return chosen
    counts = [Counter(lines) for lines in (base, ours, theirs)]
    left: Counter[str] = Counter()
    for text in dict.fromkeys((*ours, *theirs)):
        number = pick(*(count[text] for count in counts))
        left[text] = max(counts[1][text], counts[2][text]) if isinstance(number, Undecided) else number
    # which side leads is a matter of what it says, so that both ways round give the same text
    lead, second = sorted(([*ours], [*theirs]))
    made: list[str] = []
    for text in lead:
        if made.count(text) < left[text]:
            made.append(text)
    at = 0
    for n, text in enumerate(second):
        if n and second[n - 1] in made:
            at = made.index(second[n - 1]) + 1
        if made.count(text) < left[text]:
            made.insert(at, text)
    return made


# Facts


def _merged_facts(base: Facts, ours: Facts, theirs: Facts, *, mixed: bool) -> Facts:
    chosen = pick(base, ours, theirs)
    facts = chosen if not isinstance(chosen, Undecided) else _joined(base, ours, theirs)
    if not mixed and not isinstance(chosen, Undecided):
        return facts
    return replace(
        facts,
        source=TWO_RECORDS,
        digest="",
        audited=NOT_AUDITED,
        seals=tuple(dict.fromkeys((*facts.seals, *ours.seals, *theirs.seals))),
    )


def _joined(base: Facts, ours: Facts, theirs: Facts) -> Facts:
    """The later record's facts with both notes, the earlier first."""
    early, late = sorted((ours, theirs), key=_age)
    note = pick(base.note, ours.note, theirs.note)
    if isinstance(note, Undecided):
        note = "; ".join(filter(None, (early.note, late.note)))
    return replace(late, note=note)


def _age(facts: Facts) -> tuple[float, tuple[str, ...]]:
    """A key to sort by: the time of the record, then its words, so that the order is always the same."""
    return facts.age, (facts.when, facts.craft, facts.source, facts.digest, facts.audited, facts.note)


def _later(ours: _Side, theirs: _Side) -> _Side:
    return max(ours, theirs, key=lambda one: _age(one.facts))
