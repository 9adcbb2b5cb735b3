"""Settling: which readings fit all lessons, what is still open, and what to change next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from itertools import combinations, product

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.fact import ANY, UNTOLD, Fact, Untold, kind_of, words_of
from cfgaudit.dialect.teach.lesson import Changed, Lesson, Pair, Row, Spot, pairs, patterned, rows
from cfgaudit.dialect.teach.readings import (
    Bit,
    Coding,
    Field,
    Key,
    Listed,
    Mask,
    Pinned,
    Ruled,
    Scattered,
    Table,
    Told,
    beginnings,
    forced,
)
from cfgaudit.dump.read import Dump
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import Value

READINGS_MOST = 20_000  # that are looked at together
PACKED = ("osd", "elements")  # where several values share a number more often than not


class Reading(Struct, frozen=True):
    """A way to read a model path: the kind of line, the cell with its coding, the cells of its keys."""

    shape: Path
    spot: Spot
    cell: str
    coding: Coding
    keys: tuple[Key, ...]

    @property
    def path(self) -> str:
        """The path as a dialect writes it: ``ports.{id}.functions``."""
        keys = iter(self.keys)
        parts = []
        for part in self.shape:
            key = next(keys) if part == ANY else None
            parts.append(part if key is None else f"{{{key.cell}}}" if key.cell else key.known[0][1])
        return ".".join(parts)

    def keys_of(self, row: Row) -> tuple[str | Untold, ...]:
        """The segments that a line says."""
        return tuple(key.read(row.cells.get(key.cell, "")) for key in self.keys)

    def says(self, row: Row) -> tuple[tuple[str | Untold, ...], Value | Untold]:
        """What a line of the reading's kind says."""
        return self.keys_of(row), self.coding.read(row.cells[self.cell])

    @property
    def said(self) -> str:
        """The reading in a builder's words."""
        cells = ", ".join(f"{key.cell!r} says the {ANY}" for key in self.keys if key.cell)
        where = f"{self.cell!r} of {self.spot.name!r}"
        return f"{where}, {self.coding.said}" + (f"; {cells}" if cells else "")


class Status(StrEnum):
    """How far the lessons have brought a path."""

    SETTLED = "settled"  # one reading is left
    AGREED = "so far"  # several are left, and all say the same of the dumps at hand
    OPEN = "open"  # several are left, and they differ
    REFUTED = "refuted"  # none is left


class Question(Struct, frozen=True):
    """The change to make next. ``*`` in the path stands for one that no lesson has told of yet.

    ``value`` is UNTOLD where the builder is to say what is there.
    """

    text: str
    path: Path
    sign: str
    value: Value | Untold
    needed: bool = True  # whether the dumps at hand cannot be read without it


class Outcome(Struct, frozen=True):
    """What the lessons tell of one path."""

    shape: Path
    status: Status
    readings: tuple[Reading, ...]  # the simplest first
    questions: tuple[Question, ...] = ()
    against: tuple[Lesson, ...] = ()  # lessons that disagree

    @property
    def chosen(self) -> Reading:
        """The reading that is written."""
        return self.readings[0]

    @property
    def written(self) -> bool:
        """Whether the dialect may say it."""
        return self.status in (Status.SETTLED, Status.AGREED)

    @property
    def complete(self) -> bool:
        """Whether the dumps at hand are read with nothing left to ask."""
        return self.status is Status.SETTLED and not any(one.needed for one in self.questions)


class Study(Struct, frozen=True):
    """All that the lessons tell."""

    outcomes: tuple[Outcome, ...]
    extra: tuple[tuple[Lesson, Changed], ...]  # changed lines that no fact explains
    unknown: tuple[tuple[Lesson, Changed], ...]  # changed lines that the dialect does not know


class _Desk(Struct, frozen=True):
    """Lessons and dumps, laid out."""

    lessons: tuple[Lesson, ...]
    pairs: Mapping[int, tuple[Pair, ...]]  # by the lesson's number
    dumps: tuple[Mapping[Spot, tuple[Row, ...]], ...]
    texts: Mapping[tuple[Spot, str], frozenset[str]]  # what each cell holds anywhere

    def rows(self, spot: Spot) -> Iterator[Row]:
        """All lines of a kind in the dumps and the lessons."""
        for dump in self.dumps:
            yield from dump.get(spot, ())
        for some in self.pairs.values():
            for pair in some:
                yield from (r for r in (pair.before, pair.after) if isinstance(r, Row) and r.spot == spot)


def study(dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump]) -> Study:
    """Find the readings that fit all lessons, for each path that they tell of."""
    desk = _desk(dialect, lessons, dumps)
    shapes = dict.fromkeys(fact.shape for lesson in lessons for fact in lesson.facts)
    spaces = [space for shape in shapes for space in _spaces(desk, shape)]
    spaces = _apart(_shared_keys(_taken(spaces)))
    outcomes = tuple(_outcome(desk, shape, told, space) for shape, told, space in spaces)
    return Study(outcomes, tuple(_extra(desk, outcomes)), tuple(_unknown(desk)))


def _desk(dialect: Dialect, lessons: Sequence[Lesson], dumps: Sequence[Dump]) -> _Desk:
    told = {}
    for lesson in lessons:
        exact = pairs(dialect, lesson)
        told[lesson.number] = (
            *exact,
            *(p for one in exact if (p := one.patterned()).row.spot != one.row.spot),
        )
    made = []
    texts: dict[tuple[Spot, str], set[str]] = {}
    for dump in dumps:
        kinds: dict[Spot, dict[Row, None]] = {}
        for row in rows(dialect, dump.statements):
            for view in dict.fromkeys((row.spot, patterned(row).spot)):
                seen = row if view == row.spot else patterned(row)
                kinds.setdefault(view, {})[_hashed(seen)] = None
        made.append({spot: tuple(some) for spot, some in kinds.items()})
    every = [row for dump in made for some in dump.values() for row in some]
    every += [r for some in told.values() for p in some for r in (p.before, p.after) if isinstance(r, Row)]
    for row in every:
        for cell, text in row.cells.items():
            texts.setdefault((row.spot, cell), set()).add(text)
    return _Desk(tuple(lessons), told, tuple(made), {at: frozenset(some) for at, some in texts.items()})


class _Cells(dict[str, str]):
    """Cells that can be looked up by."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(self.items()))


def _hashed(row: Row) -> Row:
    return Row(row.spot, _Cells(row.cells), row.under, row.text)


# Which readings fit


Space = tuple[Path, tuple[Fact, ...], list[Reading]]  # shape, its facts, what fits


def _spaces(desk: _Desk, shape: Path) -> Iterator[Space]:
    """The readings of a shape; if no one kind of line says all of it, those of each path."""
    facts = tuple(dict.fromkeys(f for lesson in desk.lessons for f in lesson.facts if f.shape == shape))
    found = _fitting(desk, facts)
    paths = dict.fromkeys(fact.path for fact in facts)
    if not found and len(paths) > 1:
        each = [(tuple(f for f in facts if f.path == path)) for path in paths]
        apart = [(some, _fitting(desk, some)) for some in each]
        homes = [{(one.spot, one.cell) for one in space} for _, space in apart]
        # a kind of line of its own for each path; what shares one is a contradiction
        if all(homes) and sum(map(len, homes)) == len(set().union(*homes)):
            yield from ((shape, some, space) for some, space in apart)
            return
    yield shape, facts, found


def _fitting(desk: _Desk, facts: Sequence[Fact], only: Sequence[Lesson] = ()) -> list[Reading]:
    """The readings that fit all lessons, of the simplest sort that has any."""
    for stage in range(3):
        found = _at_stage(desk, facts, stage, only or desk.lessons)
        if found:
            return found
    return []


def _at_stage(desk: _Desk, facts: Sequence[Fact], stage: int, lessons: Sequence[Lesson]) -> list[Reading]:
    wanted = set(facts)
    telling = [(one, [f for f in one.facts if f in wanted]) for one in lessons]
    telling = [(one, some) for one, some in telling if some]
    state: dict[Reading, None] = {}
    for n, (lesson, some) in enumerate(telling):
        grown = state if n else dict.fromkeys(_begun(desk, lesson, some[0], stage))
        state = {}
        for reading in grown:
            state.update(dict.fromkeys(_extended(desk, reading, lesson, some)))
            if len(state) > READINGS_MOST:
                break
    for lesson in lessons:
        if not any(fact in wanted for fact in lesson.facts):
            state = dict.fromkeys(one for reading in state for one in _untouched(desk, reading, lesson))
    unique = [one for one in state if all(_unique(one, dump.get(one.spot, ())) for dump in desk.dumps)]
    return sorted(unique, key=_order)


def _order(reading: Reading) -> tuple[bool, int, int, str, str]:
    made = sum(1 for key in reading.keys if not key.cell)
    return (reading.coding.weak, reading.coding.simple, made, reading.spot.name, reading.cell)


def _kind(fact: Fact) -> str:
    kind = kind_of(fact.path)
    if kind != "any":
        return kind
    if isinstance(fact.value, bool):
        return "flag"
    return "word" if isinstance(fact.value, str) else "list" if isinstance(fact.value, tuple) else "number"


def _begun(desk: _Desk, lesson: Lesson, fact: Fact, stage: int) -> Iterator[Reading]:
    """Readings that nothing has been told of, at each line that changed."""
    kind, count = _kind(fact), len(fact.keys)
    seen = set()
    for pair in desk.pairs[lesson.number]:
        spot = pair.row.spot
        if spot.kind == "pattern" and not count:
            continue
        for cell in pair.cells:
            if (spot, cell) in seen:
                continue
            seen.add((spot, cell))
            lines = [one for one in desk.pairs[lesson.number] if one.row.spot == spot]
            texts = desk.texts[spot, cell]
            if spot.kind == "pattern" and cell != "value":
                continue
            others = [one for one in pair.row.cells if one != cell]
            keys = _key_choices(desk, spot, others, count)
            packed = fact.path[0] == PACKED[0]
            packable = stage > 0 or fact.path[:2] == PACKED
            told = [Told(*one.texts(cell), (fact,), False) for one in lines if cell in one.cells]
            points = {point for each in told for point in each.points}
            codings = forced(kind, texts, packed) if stage == 2 else beginnings(kind, texts, packable, points)
            fits = [
                one
                for one in codings
                if kind != "number" or any(True for each in told for _ in one.learn(each))
            ]
            for coding, chosen in product(fits, keys):
                yield Reading(fact.shape, spot, cell, coding, chosen)


def _key_choices(desk: _Desk, spot: Spot, cells: Sequence[str], count: int) -> list[tuple[Key, ...]]:
    """The cells that may say the keys; the kind of line says one itself where it comes once."""
    alone = all(len(dump.get(spot, ())) < 2 for dump in desk.dumps)
    options = [*cells, ""] if alone or count > 1 else [*cells]
    chosen = product(options, repeat=count)
    named = [[cell for cell in some if cell] for some in chosen]
    return [
        tuple(Key(cell) for cell in some)
        for some, own in zip(product(options, repeat=count), named, strict=True)
        if len(set(own)) == len(own)
    ]


def _extended(desk: _Desk, reading: Reading, lesson: Lesson, facts: Sequence[Fact]) -> Iterator[Reading]:
    """Every way in which a reading explains what a lesson says of its path."""
    groups: dict[tuple[str, ...], list[Fact]] = {}
    for fact in facts:
        groups.setdefault(fact.keys, []).append(fact)
    lines = [p for p in desk.pairs[lesson.number] if p.row.spot == reading.spot and reading.cell in p.cells]
    yield from _assigned(reading, lesson, list(groups.values()), lines)


def _assigned(
    reading: Reading, lesson: Lesson, groups: Sequence[Sequence[Fact]], lines: Sequence[Pair]
) -> Iterator[Reading]:
    if not groups:
        yield reading
        return
    facts, *rest = groups
    beside = [fact for fact in lesson.facts if fact.path[:-1] == facts[0].path[:-1]]
    for n, pair in enumerate(lines):
        for keys in _learned(reading.keys, pair.row, facts[0].keys):
            told = Told(*pair.texts(reading.cell), tuple(facts), len(beside) == len(facts))
            for coding in reading.coding.learn(told):
                grown = replace(reading, keys=keys, coding=coding)
                yield from _assigned(grown, lesson, rest, [*lines[:n], *lines[n + 1 :]])


def _learned(keys: Sequence[Key], row: Row, told: Sequence[str]) -> Iterator[tuple[Key, ...]]:
    grown = [tuple(key.learn(row.cells.get(key.cell, ""), one)) for key, one in zip(keys, told, strict=True)]
    yield from product(*grown)


def _untouched(desk: _Desk, reading: Reading, lesson: Lesson) -> Iterator[Reading]:
    """A part of a number does not change in a lesson that tells of another part."""
    exact = [pair for pair in desk.pairs[lesson.number] if pair.row.spot.kind != "pattern"]
    here = [p for p in desk.pairs[lesson.number] if p.row.spot == reading.spot and reading.cell in p.cells]
    coding = reading.coding
    if len(exact) != 1 or not here:
        yield reading
        return
    before, after = here[0].texts(reading.cell)
    if not isinstance(coding, Field | Bit | Scattered):
        # another part of the number has changed, so the whole number is not it
        packed = reading.shape[:2] == PACKED and isinstance(before, str) and isinstance(after, str)
        if not packed:
            yield reading
        return
    if isinstance(before, Untold) or isinstance(after, Untold):
        yield reading
        return
    for grown in coding.untouched(before, after):
        yield replace(reading, coding=grown)


def _unique(reading: Reading, lines: Iterable[Row]) -> bool:
    """Whether no two lines of a dump would say the same path."""
    said: dict[tuple[str, ...], Mapping[str, str]] = {}
    for row in lines:
        keys = tuple(row.cells.get(key.cell, "") for key in reading.keys)
        rest = {name: text for name, text in row.cells.items() if name != reading.cell}
        if said.setdefault(keys, rest) != rest:
            return False
    return True


def _shared_keys(spaces: list[Space]) -> list[Space]:
    """Lines of one kind have one cell for a key: what it says is the same for all that they give."""
    known: dict[tuple[Spot, str, Path], dict[str, str]] = {}
    cells: dict[tuple[Spot, Path], str] = {}
    for _, _, space in spaces:
        for n, key in enumerate(space[0].keys if space else ()):
            if key.cell and all(one.spot == space[0].spot and one.keys[n] == key for one in space):
                spot, cell, prefix = at = _key_at(space[0], n)
                known.setdefault(at, {}).update(key.known)
                cells.setdefault((spot, prefix), cell)
    made = []
    for shape, facts, space in spaces:
        told: dict[Reading, None] = {}
        alike = [one for one in space if _has_keys(one, cells)] or space
        for one in alike:
            grown = [
                [key, *_all_learned(key, known.get(_key_at(one, n), {}).items())][-1]
                for n, key in enumerate(one.keys)
            ]
            told[replace(one, keys=tuple(grown))] = None
        made.append((shape, facts, list(told)))
    return made


def _has_keys(reading: Reading, cells: Mapping[tuple[Spot, Path], str]) -> bool:
    """Whether the keys stand where they surely do for another path of the same lines."""
    places = [_key_at(reading, n) for n in range(len(reading.keys))]
    return all(cells.get((spot, prefix), cell) == cell for spot, cell, prefix in places)


def _key_at(reading: Reading, n: int) -> tuple[Spot, str, Path]:
    ends = [at for at, part in enumerate(reading.shape) if part == ANY]
    return reading.spot, reading.keys[n].cell, reading.shape[: ends[n]]


def _all_learned(key: Key, told: Iterable[tuple[str, str]]) -> Iterator[Key]:
    for text, segment in told:
        grown = next(key.learn(text, segment), None)
        if grown is None:
            return
        key = grown
    yield key


def _taken(spaces: list[Space]) -> list[Space]:
    """A cell says one thing, unless it is packed: what surely is one path's is no other's."""
    for _ in spaces:
        owners: dict[tuple[Spot, str], int] = {}
        for n, (_, _, space) in enumerate(spaces):
            cells = {(one.spot, one.cell) for one in space}
            if len(cells) == 1 and not any(isinstance(one.coding, Field | Bit | Scattered) for one in space):
                owners.setdefault(next(iter(cells)), n)
        left = [
            (shape, facts, [one for one in space if owners.get((one.spot, one.cell), n) == n] or space)
            for n, (shape, facts, space) in enumerate(spaces)
        ]
        if left == spaces:
            break
        spaces = left
    return spaces


def _apart(spaces: list[Space]) -> list[Space]:
    """Fields of one number do not overlap: where one surely starts, the one below it ends."""
    lows: dict[tuple[Spot, str], set[int]] = {}
    for _, _, space in spaces:
        sure = [one for one in space if isinstance(one.coding, Field | Bit)]
        starts = {one.coding.low for one in sure if isinstance(one.coding, Field | Bit)}
        if space and len(sure) == len(space) and len(starts) == 1:
            lows.setdefault((space[0].spot, space[0].cell), set()).update(starts)
    made = []
    for shape, facts, space in spaces:
        cut: dict[Reading, None] = {}
        for one in space:
            above = [low for low in lows.get((one.spot, one.cell), ()) if isinstance(one.coding, Field)]
            higher = [low for low in above if isinstance(one.coding, Field) and low > one.coding.low]
            if isinstance(one.coding, Field) and higher:
                if min(higher) <= one.coding.least:
                    continue
                one = replace(one, coding=one.coding.below(min(higher)))
            cut[one] = None
        made.append((shape, facts, list(cut) or space))
    return made


# What is settled


def _outcome(desk: _Desk, shape: Path, facts: tuple[Fact, ...], space: list[Reading]) -> Outcome:
    if not space:
        return Outcome(shape, Status.REFUTED, (), against=_disagreeing(desk, facts))
    variants = [one for reading in space for one in _variants(reading)]
    signs = {_signature(desk, one) for one in variants}
    status = Status.OPEN if len(signs) > 1 else Status.AGREED if len(variants) > 1 else Status.SETTLED
    if status is Status.SETTLED and space[0].coding.weak:
        status = Status.AGREED
    if any(_rests_on_chance(desk, one) for one in space):
        status = Status.OPEN
    questions: list[Question] = []
    if len({tuple(key.cell for key in one.keys) for one in space}) > 1:
        questions.append(_elsewhere(space[0], facts))
    if len(space) > 1:
        questions += [_splitting(desk, space, facts), _again(space[0], facts)]
    elif space[0].coding.weak:
        questions.append(_again(space[0], facts))
    elif len(variants) > 1:
        questions += _wider(space[0], facts, status)
    if status is not Status.OPEN:
        questions += _gaps(desk, space[0])
    return Outcome(shape, status, tuple(space), tuple(dict.fromkeys(questions)))


def _variants(reading: Reading) -> Iterator[Reading]:
    """A field as wide as it may be, and as narrow."""
    yield reading
    if isinstance(reading.coding, Field) and reading.coding.least < reading.coding.most:
        yield replace(reading, coding=reading.coding.below(reading.coding.least + 1))


def _wider(reading: Reading, facts: Sequence[Fact], status: Status) -> Iterator[Question]:
    """The numbers that would show how wide a field is."""
    if isinstance(reading.coding, Field):
        value = 1 << (reading.coding.least - reading.coding.low + 1)
        path = facts[-1].path
        text = f"set {dotted(path)} to {value} or more, if it can be, dump again"
        yield Question(text, path, "=", value, needed=status is Status.OPEN)


def _rests_on_chance(desk: _Desk, reading: Reading) -> bool:
    """Whether a rule that one lesson alone speaks for would read what no lesson has told of."""
    coding = reading.coding
    if not coding.weak or not isinstance(coding, Ruled):
        return False
    told = {text for text, _ in coding.points}
    return not desk.texts.get((reading.spot, reading.cell), frozenset()) <= told


def _signature(desk: _Desk, reading: Reading) -> object:
    """What a reading makes of all lines of its kind in the dumps and the lessons."""
    return (
        reading.spot,
        frozenset((row.under, row.text, reading.says(row)) for row in desk.rows(reading.spot)),
    )


def _disagreeing(desk: _Desk, facts: tuple[Fact, ...]) -> tuple[Lesson, ...]:
    """The fewest lessons that no reading fits together."""
    telling = [one for one in desk.lessons if any(fact in facts for fact in one.facts)]
    for count in (1, 2, 3):
        for some in combinations(telling, count):
            inside = [fact for fact in facts if any(fact in one.facts for one in some)]
            if not _fitting(desk, inside, some):
                return some
    return tuple(telling)


def _extra(desk: _Desk, outcomes: Sequence[Outcome]) -> Iterator[tuple[Lesson, Changed]]:
    """Changed lines that no fact explains, by the readings that are left."""
    explained = {(one.spot, one.cell) for out in outcomes for one in out.readings}
    for lesson in desk.lessons:
        lines: dict[Changed, bool] = {}
        for pair in desk.pairs[lesson.number]:
            fits = any(
                (pair.row.spot, cell) in explained and _explains(outcomes, lesson, pair, cell)
                for cell in pair.cells
            )
            lines[pair.changed] = lines.get(pair.changed, False) or fits
        yield from ((lesson, line) for line, fits in lines.items() if not fits)


def _explains(outcomes: Sequence[Outcome], lesson: Lesson, pair: Pair, cell: str) -> bool:
    told = {(fact.shape, fact.keys) for fact in lesson.facts}
    return any(
        (one.spot, one.cell) == (pair.row.spot, cell) and (one.shape, one.keys_of(pair.row)) in told
        for out in outcomes
        for one in out.readings
    )


def _unknown(desk: _Desk) -> Iterator[tuple[Lesson, Changed]]:
    for lesson in desk.lessons:
        known = {pair.changed for pair in desk.pairs[lesson.number]}
        yield from ((lesson, line) for line in lesson.changed if line not in known)


# What to ask


def _splitting(desk: _Desk, space: Sequence[Reading], facts: Sequence[Fact]) -> Question:
    """The change on which the readings that are left differ the most evenly."""
    best: tuple[int, Fact] | None = None
    few = _sample(space)
    for fact in _experiments(desk, few, facts):
        if not any(_possible(desk, one, fact) for one in few):
            continue
        outcomes = Counter(_predicted(desk, one, fact) for one in few)
        worst = max(outcomes.values())
        if len(outcomes) > 1 and (best is None or worst < best[0]):
            best = (worst, fact)
    if best:
        fact = best[1]
        return Question(_asked(fact), fact.path, fact.sign, fact.value)
    return _elsewhere(space[0], facts)


def _possible(desk: _Desk, reading: Reading, fact: Fact) -> bool:
    """Whether a change is one at all, if the reading is right: what is there is not added again."""
    for row in desk.dumps[-1].get(reading.spot, ()) if desk.dumps else ():
        if reading.keys_of(row) != fact.keys:
            continue
        value = reading.coding.read(row.cells[reading.cell])
        if isinstance(fact.value, tuple) and isinstance(value, tuple):
            there = set(fact.value) <= set(value)
            return there if fact.sign == "-=" else not there
        return value != fact.value
    return False


def _sample(space: Sequence[Reading], most: int = 60) -> list[Reading]:
    step = max(1, len(space) // most)
    return list(space[::step])


def _experiments(desk: _Desk, space: Sequence[Reading], facts: Sequence[Fact]) -> Iterator[Fact]:
    for path in dict.fromkeys(fact.path for fact in facts):
        told = [fact for fact in facts if fact.path == path]
        kind = _kind(told[-1])
        if kind == "list":
            known = dict.fromkeys(w for f in facts if isinstance(f.value, tuple) for w in f.value)
            words = [*known, *(word for word in words_of(path) if word not in known)][:12]
            yield from (Fact(path, "+=", (word,)) for word in words)
            yield from (Fact(path, "-=", (word,)) for word in known)
        elif kind == "number":
            values = [fact.value for fact in told if isinstance(fact.value, int | float)]
            for value in dict.fromkeys(values):
                steps = [value + 1, value + 2, value * 2, value * 3 + 1]
                if isinstance(value, int):
                    steps += [(1 << n) - 1 for n in range(8, 1, -1)] + [1 << n for n in range(7, 0, -1)]
                yield from (Fact(path, "=", one) for one in steps if one not in values and one >= 0)
        elif kind == "flag":
            yield from (Fact(path, "=", one) for one in (True, False))
        elif kind == "word":
            known_words = [fact.value for fact in told]
            yield from (Fact(path, "=", one) for one in words_of(path) if one not in known_words)


def _predicted(desk: _Desk, reading: Reading, fact: Fact) -> object:
    for row in desk.dumps[-1].get(reading.spot, ()) if desk.dumps else ():
        if reading.keys_of(row) == fact.keys:
            text = row.cells[reading.cell]
            return (reading.spot, row.under, row.text, reading.cell, reading.coding.predict(text, fact))
    return "another line"


def _elsewhere(reading: Reading, facts: Sequence[Fact]) -> Question:
    """Another one of the kind: another port, another element."""
    path, last = reading.shape, facts[-1]
    if not reading.keys:
        return _again(reading, facts)
    value = UNTOLD if last.sign == "=" else last.value
    sign = "=" if last.sign == "=" else "+="
    words = f"do the same to another {_thing(path)} ({dotted(path)} {sign} …), dump again"
    return Question(words, path, sign, value)


def _again(reading: Reading, facts: Sequence[Fact]) -> Question:
    last = facts[-1]
    text = f"set {dotted(last.path)} to another value than the lessons have, dump again"
    return Question(text, last.path, "=", UNTOLD)


def _asked(fact: Fact) -> str:
    if isinstance(fact.value, tuple):
        words = " and ".join(map(str, fact.value))
        what = dotted(fact.keys) or dotted(fact.path)
        if fact.sign == "-=":
            return f"take {words} off {what}, dump again"
        return f"set {what} to carry {words} as well, dump again"
    return f"set {dotted(fact.path)} to {fact.text.partition(' = ')[2]}, dump again"


def _thing(shape: Path) -> str:
    return {"ports": "port", "outputs": "output", "modes": "mode", "mixer": "motor"}.get(
        shape[0], "element" if shape[:2] == PACKED else "one"
    )


def _gaps(desk: _Desk, reading: Reading) -> Iterator[Question]:
    """What the dumps hold and no lesson has told of."""
    shape, thing = reading.shape, _thing(reading.shape)
    listed = kind_of(tuple("x" if part == ANY else part for part in shape)) == "list"
    asked: set[str] = set()
    for dump in desk.dumps:
        for row in dump.get(reading.spot, ()):
            named, value = reading.says(row)
            written = row.cells[reading.cell]
            if any(isinstance(one, Untold) for one in named):
                text = f"no lesson tells which {thing} the line {row.text!r} is: "
                text += "change something on it, dump again"
                at = " ".join(row.cells.get(key.cell, "") for key in reading.keys)
                path, sign = shape, "+=" if listed else "="
            elif isinstance(value, Untold) or (isinstance(value, tuple) and any(map(nameless, value))):
                path = _filled(shape, [str(one) for one in named])
                text = f"no lesson tells what {written!r} means in the line {row.text!r}: "
                text += (
                    f"take off what {dotted(path)} has there, dump again"
                    if listed
                    else f"set {dotted(path)} to another value and say what it was (… was …), dump again"
                )
                strange = filter(nameless, value) if isinstance(value, tuple) else [written]
                at, sign = f"value {' '.join(map(str, strange))}", "-=" if listed else "="
            else:
                continue
            if at not in asked:
                asked.add(at)
                yield Question(text, path, sign, UNTOLD)
    yield from _not_taught(reading, listed)


def _not_taught(reading: Reading, listed: bool) -> Iterator[Question]:
    """Words that the vocabulary has and no lesson has told of: another dump may hold them."""
    shape = reading.shape
    like = tuple("x" if part == ANY else part for part in shape)
    coding = reading.coding
    taught = [str(key) for key in {k for key in reading.keys for _, k in key.known}]
    at = _filled(shape, sorted(taught)[:1]) if len(reading.keys) == 1 and taught else shape
    if not reading.keys:
        at = tuple(shape)
    known: set[object] = set()
    if isinstance(coding, Mask | Listed):
        told = coding.bits if isinstance(coding, Mask) else coding.words
        known = {word for _, word in told}
    elif isinstance(coding, Table):
        known = {value for _, value in coding.values}
    for word in words_of(like) if listed or isinstance(coding, Table) else ():
        if word not in known:
            fact = Fact(at, "+=", (str(word),)) if listed else Fact(at, "=", word)
            yield Question(_asked(fact), at, fact.sign, fact.value, needed=False)
    if isinstance(coding, Pinned) and not coding.none:
        yield Question(_asked(Fact(at, "=", "none")), at, "=", "none", needed=False)
    if isinstance(coding, Table) and kind_of(like) == "number":
        text = f"set {dotted(at)} to a value that no lesson has, dump again"
        yield Question(text, at, "=", UNTOLD, needed=False)


def _filled(shape: Path, keys: Sequence[str]) -> Path:
    rest = iter(keys)
    return tuple(next(rest) if part == ANY else part for part in shape)
