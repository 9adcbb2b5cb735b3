"""Questions: what to change next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.teach.desk import Desk
from cfgaudit.dialect.teach.fact import ANY, UNTOLD, Fact, Untold, kind_of, may_be, values_of, words_of
from cfgaudit.dialect.teach.fitting import kind_told
from cfgaudit.dialect.teach.lesson import Row
from cfgaudit.dialect.teach.lists import Listed, Mask
from cfgaudit.dialect.teach.packed import Field
from cfgaudit.dialect.teach.reading import PACKED, Reading
from cfgaudit.dialect.teach.words import Pinned, Table
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import Value


class Question(Struct, frozen=True):
    """The change to make next. ``*`` in the path stands for one that no lesson has told of yet.

    ``value`` is UNTOLD where the builder is to say what is there; of several words to add one will do.
    """

    text: str
    path: Path
    sign: str
    value: Value | Untold
    needed: bool = True  # whether the dumps at hand cannot be read without it


def splitting(desk: Desk, space: Sequence[Reading], facts: Sequence[Fact]) -> Question:
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
        return Question(asked_for(fact), fact.path, fact.sign, fact.value)
    return elsewhere(space[0], facts)


def _possible(desk: Desk, reading: Reading, fact: Fact) -> bool:
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


def _experiments(desk: Desk, space: Sequence[Reading], facts: Sequence[Fact]) -> Iterator[Fact]:
    for path in dict.fromkeys(fact.path for fact in facts):
        told = [fact for fact in facts if fact.path == path]
        kind = kind_told(told[-1])
        if kind == "list":
            known = dict.fromkeys(w for f in facts if isinstance(f.value, tuple) for w in f.value)
            words = [*known, *(word for word in words_of(path) if word not in known)][:12]
            yield from (Fact(path, "+=", (word,)) for word in words)
            yield from (Fact(path, "-=", (word,)) for word in known)
        elif kind == "number":
            values = [fact.value for fact in told if isinstance(fact.value, int | float)]
            for value in dict.fromkeys(values):
                steps: list[int | float] = [*values_of(path)]
                if not steps:
                    steps = [value + 1, value + 2, value * 2, value * 3 + 1]
                if not values_of(path) and isinstance(value, int):
                    steps += [(1 << n) - 1 for n in range(8, 1, -1)] + [1 << n for n in range(7, 0, -1)]
                steps = [one for one in steps if one not in values and one >= 0 and may_be(path, one)]
                yield from (Fact(path, "=", one) for one in steps)
        elif kind == "flag":
            yield from (Fact(path, "=", one) for one in (True, False))
        elif kind == "word":
            known_words = [fact.value for fact in told]
            yield from (Fact(path, "=", one) for one in words_of(path) if one not in known_words)


def _predicted(desk: Desk, reading: Reading, fact: Fact) -> object:
    for row in desk.dumps[-1].get(reading.spot, ()) if desk.dumps else ():
        if reading.keys_of(row) == fact.keys:
            text = row.cells[reading.cell]
            return (reading.spot, row.under, row.text, reading.cell, reading.coding.predict(text, fact))
    return "another line"


def elsewhere(reading: Reading, facts: Sequence[Fact]) -> Question:
    """Another one of the kind: another port, another element."""
    path, last = reading.shape, facts[-1]
    if not reading.keys:
        return _once_more(last)
    value = UNTOLD if last.sign == "=" else last.value
    sign = "=" if last.sign == "=" else "+="
    words = f"do the same to another {_thing(path)} ({dotted(path)} {sign} …), dump again"
    return Question(words, path, sign, value)


def again(desk: Desk, reading: Reading, facts: Sequence[Fact]) -> Iterator[Question]:
    """One more value: on a line that no lesson has told of and with a new word, where there are such."""
    last = facts[-1]
    strange = any(_is_strange(reading, row) for dump in desk.dumps for row in dump.get(reading.spot, ()))
    path = reading.shape if strange else last.path
    words = _new_words(path, [word for fact in facts if isinstance(fact.value, tuple) for word in fact.value])
    if kind_told(last) == "list" and words:
        where = f"another {_thing(path)}" if strange else dotted(last.keys) or dotted(path)
        text = f"set {where} to carry one more that no lesson tells of ({_some(words)}), dump again"
        yield Question(text, path, "+=", tuple(words))
    elif strange:
        text = f"set {dotted(path)} of another {_thing(path)} to a value that no lesson has, dump again"
        yield Question(text, path, "=", UNTOLD)
    else:
        yield _once_more(last)
        return
    yield replace(_once_more(last), needed=False)


def _once_more(last: Fact) -> Question:
    text = f"set {dotted(last.path)} to another value than the lessons have, dump again"
    return Question(text, last.path, "=", UNTOLD)


def _is_strange(reading: Reading, row: Row) -> bool:
    """Whether no lesson tells which of its kind a line is."""
    return any(isinstance(one, Untold) for one in reading.keys_of(row))


def _new_words(path: Path, known: Collection[object]) -> list[str]:
    like = tuple("x" if part == ANY else part for part in path)
    return [str(word) for word in words_of(like) if word not in known]


def _some(words: Sequence[str], most: int = 4) -> str:
    return ", ".join(words[:most]) + (" …" if len(words) > most else "")


def asked_for(fact: Fact) -> str:
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


def gaps(desk: Desk, reading: Reading) -> Iterator[Question]:
    """What the dumps hold and no lesson has told of."""
    shape = reading.shape
    listed = kind_of(tuple("x" if part == ANY else part for part in shape)) == "list"
    asked: set[str] = set()
    for dump in desk.dumps:
        for row in dump.get(reading.spot, ()):
            named, value = reading.says(row)
            written = row.cells[reading.cell]
            if any(isinstance(one, Untold) for one in named):
                at = " ".join(row.cells.get(key.cell, "") for key in reading.keys)
                if at not in asked:
                    asked.add(at)
                    yield from _which(reading, row, listed)
                continue
            if isinstance(value, Untold) or (isinstance(value, tuple) and any(map(nameless, value))):
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
    yield from _not_taught(desk, reading, listed)


def _which(reading: Reading, row: Row, listed: bool) -> Iterator[Question]:
    """What tells which of its kind a line is, and with it a word that no lesson has told of."""
    path = reading.shape
    open_words = _open_words(reading, row)
    words = _new_words(path, _words_known(reading))
    begin = f"no lesson tells which {_thing(path)} the line {row.text!r} is"
    plain = Question(f"{begin}: change something on it, dump again", path, "+=" if listed else "=", UNTOLD)
    if listed and open_words:
        text = f"{begin}, and what {open_words!r} means in it: take off what it has there, dump again"
        yield Question(text, path, "-=", UNTOLD)
    elif listed and words:
        text = f"{begin}: let it carry one more that no lesson tells of ({_some(words)}), dump again"
        yield Question(text, path, "+=", tuple(words))
    else:
        yield plain
        return
    yield replace(plain, needed=False)


def _open_words(reading: Reading, row: Row) -> str:
    """What a line's list holds that no lesson tells the meaning of."""
    value = reading.coding.read(row.cells[reading.cell])
    if isinstance(value, Untold):
        return row.cells[reading.cell]
    return " ".join(str(one) for one in value if nameless(one)) if isinstance(value, tuple) else ""


def _words_known(reading: Reading) -> set[object]:
    coding = reading.coding
    if isinstance(coding, Mask | Listed):
        return {word for _, word in (coding.bits if isinstance(coding, Mask) else coding.words)}
    return {value for _, value in coding.values} if isinstance(coding, Table) else set()


def drafted_gaps(desk: Desk, told: Collection[Path]) -> Iterator[Question]:
    """What a draft has left out of the paths that no lesson tells of (``told`` are those that one does)."""
    for entry in desk.entries:
        if entry.drafted and entry.reading.shape not in told:
            yield from gaps(desk, entry.reading)


def _not_taught(desk: Desk, reading: Reading, listed: bool) -> Iterator[Question]:
    """Words that the vocabulary has and no lesson has told of: another dump may hold them."""
    shape = reading.shape
    like = tuple("x" if part == ANY else part for part in shape)
    coding = reading.coding
    at = _one_of(desk, reading)
    known = _words_known(reading)
    for word in words_of(like) if listed or isinstance(coding, Table) else ():
        if word not in known:
            fact = Fact(at, "+=", (str(word),)) if listed else Fact(at, "=", word)
            yield Question(asked_for(fact), at, fact.sign, fact.value, needed=False)
    if isinstance(coding, Pinned) and not coding.none:
        yield Question(asked_for(Fact(at, "=", "none")), at, "=", "none", needed=False)
    if isinstance(coding, Listed) and not coding.empty:
        full = next(_carrying(desk, reading), at)
        text = f"take off all that {dotted(full[1:2])} carries ({dotted(full)} = none), dump again"
        yield Question(text, full, "=", (), needed=False)
    if isinstance(coding, Table) and kind_of(like) == "number":
        text = f"set {dotted(at)} to a value that no lesson has, dump again"
        yield Question(text, at, "=", UNTOLD, needed=False)


def _carrying(desk: Desk, reading: Reading) -> Iterator[Path]:
    """The paths that have something in their list now."""
    for row in desk.dumps[-1].get(reading.spot, ()) if desk.dumps else ():
        named, value = reading.says(row)
        said = [one for one in named if isinstance(one, str)]
        if len(said) == len(named) and isinstance(value, tuple) and value:
            yield _filled(reading.shape, said)


def _one_of(desk: Desk, reading: Reading) -> Path:
    """A path of the kind that lessons have told of, or else that the dumps have."""
    if not reading.keys:
        return reading.shape
    taught = sorted({segment for key in reading.keys for _, segment in key.known})
    if len(reading.keys) == 1 and taught:
        return _filled(reading.shape, taught[:1])
    for row in (row for dump in desk.dumps for row in dump.get(reading.spot, ())):
        said = [one for one in reading.keys_of(row) if isinstance(one, str)]
        if len(said) == len(reading.keys):
            return _filled(reading.shape, said)
    return reading.shape


def _filled(shape: Path, keys: Sequence[str]) -> Path:
    rest = iter(keys)
    return tuple(next(rest) if part == ANY else part for part in shape)


def variants_of(reading: Reading) -> Iterator[Reading]:
    """A field as wide as it may be, and as narrow."""
    yield reading
    if isinstance(reading.coding, Field) and reading.coding.least < reading.coding.most:
        yield replace(reading, coding=reading.coding.below(reading.coding.least + 1))


def wider(reading: Reading, facts: Sequence[Fact], needed: bool) -> Iterator[Question]:
    """The numbers that would show how wide a field is."""
    if isinstance(reading.coding, Field):
        value = 1 << (reading.coding.least - reading.coding.low + 1)
        path = facts[-1].path
        if not may_be(path, value):
            return
        text = f"set {dotted(path)} to {value} or more, if it can be, dump again"
        yield Question(text, path, "=", value, needed=needed)
