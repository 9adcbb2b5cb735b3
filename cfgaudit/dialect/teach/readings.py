"""Readings: what a changed cell may mean. Each grows with the lessons, or is refuted by one.

A coding learns from one changed line at a time and gives every way in which it can go on; none
means that it is refuted. What a coding says of a cell that no lesson has told of is ``UNTOLD``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache
from itertools import permutations
from typing import Any, Protocol

from msgspec import Struct

from cfgaudit.dialect.codec.pin import Pin, is_pin
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Scalar, Value

FIELD_MOST = 32  # bits of a packed number
OFFSET_MOST = 1024
INDEX_MOST = 40  # the largest number that stands for another one by a table
_INTEGER = {10: re.compile(r"[0-9]{1,15}"), 16: re.compile(r"0[xX][0-9A-Fa-f]{1,13}")}
_SIGNED = re.compile(r"[+-]?[0-9]{1,15}")
_WRITTEN = re.compile(r"[+-]?[0-9]{1,12}\.([0-9]{1,9})")
_MANTISSAS = (1, 2, 4, 5, 8, 25, 125)
_EXPONENTS = range(-6, 5)
_SEPARATORS = (",", "+", "|", ";", "/")

Texts = tuple[str | Untold, str | Untold]  # a cell before and after


class Told(Struct, frozen=True):
    """One cell that changed, with the facts about it. ``alone``: nothing else can have changed it."""

    before: str | Untold
    after: str | Untold
    facts: tuple[Fact, ...]
    alone: bool

    @property
    def points(self) -> Iterator[tuple[str, Value]]:
        """What is known of a text and its value."""
        for fact in self.facts:
            if fact.sign == "=" and not isinstance(self.after, Untold):
                yield self.after, fact.value
            if not isinstance(fact.was, Untold) and not isinstance(self.before, Untold):
                yield self.before, fact.was


class Coding(Protocol):
    """A way to read a cell."""

    def learn(self, told: Told) -> Iterator[Coding]:
        """Every way to go on with what a lesson tells of the cell."""
        ...

    def read(self, text: str) -> Value | Untold:
        """The value of a cell's text, if the lessons tell."""
        ...

    def predict(self, text: str, fact: Fact) -> str:
        """What the cell would be after a change: what sets this reading apart from others."""
        ...

    @property
    def spec(self) -> dict[str, Any]:
        """The codec as a dialect writes it."""
        ...

    @property
    def weak(self) -> bool:
        """Whether one lesson alone speaks for it, and by chance it may."""
        ...

    @property
    def simple(self) -> int:
        """Of readings that say the same the simplest is written: 0 is simplest."""
        ...

    @property
    def said(self) -> str:
        """The reading in a builder's words."""
        ...


def _whole(text: str | Untold, base: int) -> int | Untold:
    if isinstance(text, Untold) or not _INTEGER[base].fullmatch(text):
        return UNTOLD
    return int(text, base)


def _flipped(before: int | Untold, after: int | Untold) -> int:
    return 0 if isinstance(before, Untold) or isinstance(after, Untold) else before ^ after


def _bits(number: int) -> frozenset[int]:
    return frozenset(n for n in range(number.bit_length()) if number >> n & 1)


# Lists of words


class Mask(Struct, frozen=True):
    """A mask: each word a bit."""

    base: int
    bits: tuple[tuple[int, str], ...] = ()
    weak: bool = False
    simple: int = 0

    @property
    def words(self) -> Mapping[int, str]:
        return dict(self.bits)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding. As many bits change as words were added or taken."""
        before, after = _whole(told.before, self.base), _whole(told.after, self.base)
        if not isinstance(told.before, Untold) and isinstance(before, Untold):
            return
        if not isinstance(told.after, Untold) and isinstance(after, Untold):
            return
        for on, off in _moves(told):
            state: list[Mask] = [self]
            if on is not None:
                if isinstance(after, Untold):
                    continue
                state = [made for one in state for made in one._named(_bits(after), on)]
            else:
                added = {w for fact in told.facts if fact.sign == "+=" for w in _words(fact)}
                taken = {w for fact in told.facts if fact.sign == "-=" for w in _words(fact)}
                state = [made for one in state for made in one._moved(before, after, added, taken)]
            if off is not None and not isinstance(before, Untold):
                state = [made for one in state for made in one._named(_bits(before), off)]
            yield from state

    def _moved(
        self, before: int | Untold, after: int | Untold, added: Collection[str], taken: Collection[str]
    ) -> Iterator[Mask]:
        if isinstance(before, Untold) or isinstance(after, Untold):
            there, words = (after, added) if isinstance(before, Untold) else (before, taken)
            if isinstance(there, Untold):
                return
            every = sorted(_bits(there))
            for chosen in permutations(every, len(words)):
                yield from self._with(zip(chosen, sorted(words), strict=True))
            return
        for made in self._named(_bits(after & ~before), added):
            yield from made._named(_bits(before & ~after), taken)

    def _named(self, bits: Collection[int], words: Collection[str]) -> Iterator[Mask]:
        if len(bits) != len(words):
            return
        for order in permutations(sorted(words)):
            yield from self._with(zip(sorted(bits), order, strict=True))

    def _with(self, named: Any) -> Iterator[Mask]:
        known, by_word = self.words, {word: bit for bit, word in self.bits}
        new = dict(known)
        for bit, word in named:
            if known.get(bit, word) != word or by_word.get(word, bit) != bit:
                return
            new[bit] = word
        yield Mask(self.base, tuple(sorted(new.items())))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        mask = _whole(text, self.base)
        if isinstance(mask, Untold):
            return UNTOLD
        return tuple(self.words.get(bit, f"bit{bit}") for bit in sorted(_bits(mask)))

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        mask, by_word = _whole(text, self.base), {word: bit for bit, word in self.bits}
        if isinstance(mask, Untold) or not all(word in by_word for word in _words(fact)):
            return "one more bit"
        for word in _words(fact):
            mask = mask | 1 << by_word[word] if fact.sign == "+=" else mask & ~(1 << by_word[word])
        return f"0x{mask:X}" if self.base == 16 else str(mask)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"bits": {str(bit): word for bit, word in self.bits}} | (
            {"written": "hex"} if self.base == 16 else {}
        )

    @property
    def said(self) -> str:
        """See Coding."""
        return f"a mask in {'hexadecimal' if self.base == 16 else 'decimal'}"


class Listed(Struct, frozen=True):
    """Words of the firmware, or numbers, one for each word of the model."""

    separator: str  # "" is blanks
    words: tuple[tuple[str, str], ...] = ()
    empty: tuple[str, ...] = ()  # the word for none, if a lesson has told
    several: bool = False  # whether a cell was seen with more than one
    weak: bool = False
    simple: int = 1

    def tokens(self, text: str) -> tuple[str, ...]:
        """The words of a cell, without the one for none."""
        if text.strip() in self.empty or not text.strip():
            return ()
        parts = text.split(self.separator) if self.separator else text.split()
        return tuple(part.strip() for part in parts)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        added = {w for fact in told.facts if fact.sign == "+=" for w in _words(fact)}
        taken = {w for fact in told.facts if fact.sign == "-=" for w in _words(fact)}
        before = self.tokens(told.before) if isinstance(told.before, str) else UNTOLD
        after = self.tokens(told.after) if isinstance(told.after, str) else UNTOLD
        for on, off in _moves(told):
            state: list[Listed] = [self]
            if on is not None and not isinstance(after, Untold):
                state = [made for one in state for made in one._named(after, on)]
            elif on is None and isinstance(before, Untold) and not isinstance(after, Untold):
                chosen = permutations(after, len(added))
                state = [m for c in chosen for m in self._with(zip(c, sorted(added), strict=True))]
            elif on is None and isinstance(after, Untold) and not isinstance(before, Untold):
                chosen = permutations(before, len(taken))
                state = [m for c in chosen for m in self._with(zip(c, sorted(taken), strict=True))]
            elif on is None and not isinstance(before, Untold) and not isinstance(after, Untold):
                state = list(self._moved(before, after, added, taken))
            if off is not None and not isinstance(before, Untold):
                state = [made for one in state for made in one._named(before, off)]
            yield from state

    def _moved(
        self,
        before: tuple[str, ...],
        after: tuple[str, ...],
        added: Collection[str],
        taken: Collection[str],
    ) -> Iterator[Listed]:
        come, gone = [one for one in after if one not in before], [one for one in before if one not in after]
        known = dict(self.words)
        if len(gone) == len(taken) + 1 and len(before) == 1 and not taken and gone[0] not in known:
            yield from self._none(gone[0])._moved((), after, added, taken)
            return
        if len(come) == len(added) + 1 and len(after) == 1 and not added and come[0] not in known:
            yield from self._none(come[0])._moved(before, (), added, taken)
            return
        for made in self._named(come, added):
            yield from made._named(gone, taken)

    def _none(self, word: str) -> Listed:
        return Listed(self.separator, self.words, (word,), self.several) if not self.empty else self

    def _named(self, tokens: Collection[str], words: Collection[str]) -> Iterator[Listed]:
        if not words and len(tokens) == 1 and not self.empty and next(iter(tokens)) not in dict(self.words):
            yield self._none(next(iter(tokens)))
        if len(tokens) == len(words):
            for order in permutations(sorted(words)):
                yield from self._with(zip(tokens, order, strict=True), len(tokens) > 1)

    def _with(self, named: Any, several: bool = False) -> Iterator[Listed]:
        known, by_word = dict(self.words), {word: token for token, word in self.words}
        for token, word in named:
            if known.get(token, word) != word or by_word.get(word, token) != token or token in self.empty:
                return
            known[token], by_word[word] = word, token
        yield Listed(self.separator, tuple(sorted(known.items())), self.empty, self.several or several)

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        known = dict(self.words)
        tokens = self.tokens(text)
        if not all(token in known for token in tokens):
            return UNTOLD
        return tuple(known[token] for token in tokens)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        by_word = {word: token for token, word in self.words}
        if not all(word in by_word for word in _words(fact)):
            return "another word"
        tokens = [*self.tokens(text)]
        for word in _words(fact):
            if fact.sign == "+=":
                tokens.append(by_word[word])
            elif by_word[word] in tokens:
                tokens.remove(by_word[word])
        return (self.separator or " ").join(tokens) or next(iter(self.empty), "the word for none")

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        made: dict[str, Any] = {"of": {"words": dict(self.words)}}
        if self.separator:
            made["separated"] = self.separator
        if self.empty:
            made["empty"] = self.empty[0]
        return {"list": made}

    @property
    def said(self) -> str:
        """See Coding."""
        return "a list of words" if self.several else "one word for each job"


def _words(fact: Fact) -> tuple[str, ...]:
    return tuple(str(one) for one in fact.value) if isinstance(fact.value, tuple) else (str(fact.value),)


def _moves(told: Told) -> Iterator[tuple[Collection[str] | None, Collection[str] | None]]:
    """The whole lists after and before, where a fact says them."""
    whole = [fact for fact in told.facts if fact.sign == "="]
    if not whole:
        yield None, None
    elif len(told.facts) == 1:
        was = whole[0].was
        before = [str(one) for one in was] if isinstance(was, tuple) else None
        yield list(dict.fromkeys(_words(whole[0]))), before


# Numbers


class Ruled(Struct, frozen=True):
    """A number by a rule: ``model = written × by``, or ``written + offset``."""

    by: Decimal
    offset: int = 0
    places: int = 0  # decimals that are written
    base: int = 10
    points: tuple[tuple[str, Decimal], ...] = ()

    @property
    def simple(self) -> int:
        """See Coding."""
        return 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        for text in (told.before, told.after):
            if isinstance(text, str) and isinstance(self.read(text), Untold):
                return
        points = dict(self.points)
        for text, value in told.points:
            read = self.read(text)
            if isinstance(value, bool | str | tuple) or isinstance(read, Untold):
                return
            if Decimal(str(read)) != Decimal(str(value)):
                return
            points[text] = Decimal(str(value))
        yield Ruled(self.by, self.offset, self.places, self.base, tuple(sorted(points.items())))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        if self.base == 16:
            whole = _whole(text, 16)
            return whole if isinstance(whole, Untold) else whole + self.offset
        found = _WRITTEN.fullmatch(text)
        if not (_SIGNED.fullmatch(text) if not self.places else found and len(found[1]) == self.places):
            return UNTOLD
        value = Decimal(text) * self.by + self.offset
        return int(value) if value == int(value) else float(value)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        if isinstance(fact.value, bool | str | tuple):
            return "?"
        written = (Decimal(str(fact.value)) - self.offset) / self.by
        if self.base == 16:
            return f"0x{int(written):X}"
        return f"{written:.{self.places}f}"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        if self.places:
            return {"decimal": {"by": _plain(self.by), "places": self.places}}
        if self.by != 1:
            return {"decimal": _plain(self.by)}
        made = {"offset": self.offset} if self.offset else {}
        return {"integer": made | ({"base": 16} if self.base == 16 else {})}

    @property
    def weak(self) -> bool:
        """See Coding. Two points make a rule, or one of which two digits and more are the same.

        Small numbers that are not the value itself may be places in a table: there it takes three.
        """
        if any(_same_digits(text, value) for text, value in self.points if not self.offset):
            return False
        small = all(re.fullmatch(r"[0-9]{1,2}", text) for text, _ in self.points)
        itself = self.by == 1 and not self.offset
        return len(self.points) < (3 if small and not itself and not self.places else 2)

    @property
    def said(self) -> str:
        """See Coding."""
        if self.offset:
            return f"a whole number and {self.offset}"
        return f"a number times {self.by.normalize():f}" if self.by != 1 else "the number itself"


def _plain(number: Decimal) -> int | float:
    return int(number) if number == int(number) else float(number)


def _same_digits(text: str, value: Decimal) -> bool:
    digits = [re.sub(r"[^0-9]", "", one).strip("0") for one in (text, f"{value:f}")]
    return digits[0] == digits[1] and len(digits[0]) > 1


class Field(Struct, frozen=True):
    """Adjacent bits of an integer: from ``low`` to somewhere between ``least`` and ``most``."""

    low: int
    least: int
    most: int
    base: int = 10
    points: tuple[int, ...] = ()  # values that were told

    @property
    def weak(self) -> bool:
        """See Coding."""
        return len(self.points) < 2

    @property
    def simple(self) -> int:
        """See Coding."""
        return 2 + self.low

    @property
    def positions(self) -> tuple[int, ...]:
        """The bits, lowest first."""
        return tuple(range(self.low, self.most + 1))

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        least, most = self.least, self.most
        before, after = _whole(told.before, self.base), _whole(told.after, self.base)
        if told.alone and not isinstance(before, Untold) and not isinstance(after, Untold):
            moved = _bits(before ^ after)
            if min(moved, default=self.low) < self.low:
                return
            least = max(least, *moved) if moved else least
        points = set(self.points)
        for text, value in told.points:
            whole = _whole(text, self.base)
            if isinstance(whole, Untold) or not isinstance(value, int) or value < 0:
                return
            rest = whole >> self.low
            if rest & ((1 << value.bit_length()) - 1) != value:
                return
            least = max(least, self.low + value.bit_length() - 1)
            above = _bits((rest ^ value) << self.low)
            most = min(most, min(above, default=most + 1) - 1)
            points.add(value)
        if least <= most:
            yield Field(self.low, least, most, self.base, tuple(sorted(points)))

    def untouched(self, before: str, after: str) -> Iterator[Field]:
        """The field after a change that was none of its own."""
        one, other = _whole(before, self.base), _whole(after, self.base)
        if isinstance(one, Untold) or isinstance(other, Untold):
            return
        above = [bit for bit in _bits(one ^ other) if bit >= self.low]
        most = min(self.most, min(above, default=self.most + 1) - 1)
        if self.least <= most:
            yield Field(self.low, self.least, most, self.base, self.points)

    def below(self, bit: int) -> Field:
        """The field, ending below a bit that is another's."""
        return Field(self.low, self.least, max(self.least, min(self.most, bit - 1)), self.base, self.points)

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = _whole(text, self.base)
        if isinstance(whole, Untold):
            return UNTOLD
        return whole >> self.low & ((1 << (self.most - self.low + 1)) - 1)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        whole = _whole(text, self.base)
        if isinstance(whole, Untold) or not isinstance(fact.value, int):
            return "?"
        own = ((1 << (self.most - self.low + 1)) - 1) << self.low
        return str(whole & ~own | fact.value << self.low)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding. The field's own part of a packed cell."""
        return {"bits": _ranges(self.positions)}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bits {self.low} to {self.most} of a number"


class Scattered(Struct, frozen=True):
    """Bits of an integer that are not adjacent: for each bit of the value those it may be."""

    places: tuple[frozenset[int], ...]
    base: int = 10
    seen: int = 0  # the bits of the value that some lesson has set

    @property
    def simple(self) -> int:
        """See Coding."""
        return 90

    @property
    def needed(self) -> tuple[frozenset[int], ...]:
        return self.places[: self.seen.bit_length()]

    @property
    def weak(self) -> bool:
        """See Coding."""
        return not self.seen or any(len(one) != 1 for one in self.needed)

    @property
    def positions(self) -> tuple[int, ...]:
        """The bits, lowest first."""
        taken: list[int] = []
        for one in self.needed:
            taken.append(min(one - set(taken), default=0))
        return tuple(taken)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        places, seen = list(self.places), self.seen
        for text, value in told.points:
            whole = _whole(text, self.base)
            if isinstance(whole, Untold) or not isinstance(value, int) or not 0 <= value < 1 << len(places):
                return
            seen |= value
            places = [
                frozenset(p for p in one if (whole >> p & 1) == (value >> n & 1))
                for n, one in enumerate(places)
            ]
        made = Scattered(tuple(_narrowed(places)), self.base, seen)
        if all(made.needed) and len(set(made.positions)) == len(made.positions):
            yield made

    def untouched(self, before: str, after: str) -> Iterator[Scattered]:
        """The field after a change that was none of its own."""
        one, other = _whole(before, self.base), _whole(after, self.base)
        if isinstance(one, Untold) or isinstance(other, Untold):
            return
        made = Scattered(tuple(each - _bits(one ^ other) for each in self.places), self.base, self.seen)
        if all(made.needed):
            yield made

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = _whole(text, self.base)
        if isinstance(whole, Untold):
            return UNTOLD
        return sum((whole >> bit & 1) << n for n, bit in enumerate(self.positions))

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return f"bits {_ranges(self.positions)}"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"bits": _ranges(self.positions)}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bits {_ranges(self.positions)} of a number"


def _narrowed(places: Sequence[frozenset[int]]) -> Iterator[frozenset[int]]:
    """A bit that one place of the value must have is no other's."""
    sure = [next(iter(one)) for one in places if len(one) == 1]
    for one in places:
        yield one if len(one) == 1 else one - set(sure)


def _ranges(bits: Sequence[int]) -> str:
    parts: list[list[int]] = []
    for bit in bits:
        if parts and parts[-1][-1] == bit - 1:
            parts[-1].append(bit)
        else:
            parts.append([bit])
    return ",".join(str(one[0]) if len(one) == 1 else f"{one[0]}-{one[-1]}" for one in parts)


# Words, flags, pins, text


class Table(Struct, frozen=True):
    """One word of the firmware, or a number, for each value of the model."""

    values: tuple[tuple[str, Scalar], ...] = ()
    weak: bool = False
    simple: int = 1

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        known = dict(self.values)
        for text, value in told.points:
            if isinstance(value, tuple) or known.get(text, value) != value:
                return
            known[text] = value
        yes_no = [fact.value for fact in told.facts if isinstance(fact.value, bool)]
        if yes_no and isinstance(told.before, str) and told.before != told.after:
            if known.get(told.before, not yes_no[0]) is not (not yes_no[0]):
                return
            known[told.before] = not yes_no[0]
        elif told.before != told.after and isinstance(told.before, str):
            # what was there before was another value, or it would not have changed
            had = known.get(told.before, UNTOLD)
            if not isinstance(had, Untold) and any(had == fact.value for fact in told.facts):
                return
        yield Table(tuple(sorted(known.items())))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        return dict(self.values).get(text, UNTOLD)

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return next((one for one, value in self.values if value == fact.value), "another word")

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        on = [text for text, value in self.values if value is True]
        off = [text for text, value in self.values if value is False]
        if on and off and len(on) + len(off) == len(self.values):
            return {"flag": {"on": on, "off": off}}
        return {"words": dict(self.values)}

    @property
    def said(self) -> str:
        """See Coding."""
        return "one word for each value"


class Bit(Struct, frozen=True):
    """One bit of an integer: yes or no, perhaps the other way round."""

    low: int
    clear: bool  # the bit is 0 for yes
    base: int = 10
    weak: bool = False

    @property
    def simple(self) -> int:
        """See Coding."""
        return 2 + self.low

    @property
    def positions(self) -> tuple[int, ...]:
        """The bit."""
        return (self.low,)

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        before, after = _whole(told.before, self.base), _whole(told.after, self.base)
        both = not isinstance(before, Untold) and not isinstance(after, Untold)
        if told.alone and both and _flipped(before, after) != 1 << self.low:
            return
        if all(self.read(text) == value for text, value in told.points):
            yield self

    def untouched(self, before: str, after: str) -> Iterator[Bit]:
        """The bit after a change that was none of its own."""
        if self.read(before) == self.read(after):
            yield self

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        whole = _whole(text, self.base)
        return whole if isinstance(whole, Untold) else (whole >> self.low & 1 == 1) is not self.clear

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        whole = _whole(text, self.base)
        if isinstance(whole, Untold):
            return "?"
        on = (fact.value is True) is not self.clear
        return str(whole | 1 << self.low if on else whole & ~(1 << self.low))

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        flag = {"on": 0, "off": 1} if self.clear else None
        return {"bits": _ranges(self.positions), "flag": flag}

    @property
    def said(self) -> str:
        """See Coding."""
        return f"bit {self.low} of a number"


class Pinned(Struct, frozen=True):
    """A pin, in one of the ways that are read."""

    written: str = ""
    none: tuple[str, ...] = ()
    weak: bool = False
    simple: int = 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        written, none = self.written, set(self.none)
        for text, value in told.points:
            if value == "none":
                if is_pin(text):
                    return
                none.add(text)
            elif not is_pin(text) or Pin().read(text) != value:
                return
            else:
                written = _pin_written(text)
        for seen in (told.before, told.after):
            if isinstance(seen, str) and is_pin(seen):
                written = written or _pin_written(seen)
        yield Pinned(written, tuple(sorted(none)))

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        if text in self.none:
            return "none"
        return Pin().read(text) if is_pin(text) else UNTOLD

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return str(fact.value)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"pin": self.written or None} | ({"none": list(self.none)} if self.none else {})

    @property
    def said(self) -> str:
        """See Coding."""
        return "a pin"


def _pin_written(text: str) -> str:
    found = re.fullmatch(r"([Pp]?)[A-Ka-k](_?)(0?)[0-9]+", text)
    if not found or text[:1] == "p" or text.upper() != text:
        return ""
    return f"{found[1]}{{port}}{found[2]}{{number{':02' if found[3] else ''}}}"


class Plain(Struct, frozen=True):
    """Text as it is, perhaps in quotes."""

    quoted: bool = False
    weak: bool = False
    simple: int = 0

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding."""
        quoted = self.quoted or any(
            isinstance(t, str) and t.startswith('"') for t in (told.before, told.after)
        )
        if all(self.read(text) == value for text, value in told.points):
            yield Plain(quoted)

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        return text[1:-1] if len(text) > 1 and text[0] == text[-1] == '"' else text

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        return str(fact.value)

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding."""
        return {"text": None} | ({"quoted": True} if self.quoted else {})

    @property
    def said(self) -> str:
        """See Coding."""
        return "the text itself"


# What to begin with


def beginnings(
    kind: str, texts: Collection[str], packable: bool, points: Collection[tuple[str, Value]]
) -> Iterator[Coding]:
    """The readings of a cell that nothing has been told of, by what the model has there.

    ``texts`` are what the cell holds in the dumps and lessons; ``packable`` says that several values
    may share the number; ``points`` are texts and values of which one at the least is right.
    """
    hexes = [text for text in texts if _INTEGER[16].fullmatch(text)]
    base = 16 if hexes and len(hexes) == len(texts) else 10
    whole = all(_INTEGER[base].fullmatch(text) for text in texts)
    if kind == "list":
        if whole:
            yield Mask(base)
        signs = [sign for sign in _SEPARATORS if any(sign in text for text in texts)]
        yield from (Listed(sign) for sign in signs)
        if not signs:
            yield Listed("")
    if kind in ("number", "any"):
        yield from _rules(texts, base, points)
        if whole and packable:
            yield from (Field(low, low, FIELD_MOST - 1, base) for low in range(FIELD_MOST))
    if kind == "flag":
        if len(texts) < 3 or not whole:
            yield Table()
        if whole and (packable or len(texts) > 2):
            yield from (Bit(bit, clear, base) for bit in range(FIELD_MOST) for clear in (False, True))
    if kind in ("word", "any"):
        yield Table()
    if kind == "pin":
        yield Pinned()
    if kind == "name":
        yield Plain()


def _rules(texts: Collection[str], base: int, points: Collection[tuple[str, Value]]) -> Iterator[Ruled]:
    places = {len(found[1]) for text in texts if (found := _WRITTEN.fullmatch(text))}
    steps = {
        value - int(text, base)
        for text, value in points
        if isinstance(value, int) and (_SIGNED if base == 10 else _INTEGER[16]).fullmatch(text)
    }
    if len(places) == 1:
        for by in _scales():
            yield Ruled(by, places=next(iter(places)))
    elif base == 16:
        yield from (Ruled(Decimal(1), step, base=16) for step in sorted(steps) if abs(step) <= OFFSET_MOST)
    else:
        yield from (Ruled(by) for by in _scales())
        yield from (Ruled(Decimal(1), step) for step in sorted(steps) if 0 < abs(step) <= OFFSET_MOST)


@cache
def _scales() -> tuple[Decimal, ...]:
    made = {
        Decimal(mantissa).scaleb(exponent).normalize() for mantissa in _MANTISSAS for exponent in _EXPONENTS
    }
    return tuple(sorted(made, key=lambda by: (by != 1, by)))


def forced(kind: str, texts: Collection[str], packable: bool) -> Iterator[Coding]:
    """What is tried when no simpler reading fits: scattered bits, and a table.

    They could explain nearly anything, so they are tried only where firmwares have them: a table
    counts with small numbers or words.
    """
    hexes = [text for text in texts if _INTEGER[16].fullmatch(text)]
    base = 16 if hexes and len(hexes) == len(texts) else 10
    if kind in ("number", "any"):
        if packable:
            if not all(_INTEGER[base].fullmatch(text) for text in texts):
                return
            every = frozenset(range(FIELD_MOST))
            yield Scattered((every,) * 10, base)
        elif all(not _SIGNED.fullmatch(text) or 0 <= int(text) <= INDEX_MOST for text in texts):
            yield Table()


# Which line of its kind


class Key(Struct, frozen=True):
    """The cell that says a segment of the path; "" if the kind of line alone does."""

    cell: str
    known: tuple[tuple[str, str], ...] = ()

    def learn(self, text: str, key: str) -> Iterator[Key]:
        """The key with one more line told of, if it agrees."""
        if not self.cell and self.known and self.known[0][1] != key:
            return
        told, back = dict(self.known), {one: other for other, one in self.known}
        if told.get(text, key) == key and (not self.cell or back.get(key, text) == text):
            yield Key(self.cell, tuple(sorted({**told, text: key}.items())))

    @property
    def offset(self) -> int | Untold:
        """Keys that are numbers: what to add to the written number."""
        pairs = [(text, key) for text, key in self.known if _SIGNED.fullmatch(text) and key.isdecimal()]
        steps = {int(key) - int(text) for text, key in pairs}
        if len(pairs) == len(self.known) and len(steps) == 1 and steps <= {0, 1, -1}:
            return next(iter(steps))
        return UNTOLD

    @property
    def stems(self) -> tuple[str, str, int] | Untold:
        """What stands before the numbers of text and key, and the step between the numbers.

        Told by two lines at the least: a table of the firmware's own could say one by chance.
        """
        found = [(_stem(text), _stem(key)) for text, key in self.known]
        steps = {(a[0], b[0], b[1] - a[1]) for a, b in found if a[1] >= 0 and b[1] >= 0}
        if len(self.known) > 1 and len(steps) == 1 and len(found) == sum(a[1] >= 0 <= b[1] for a, b in found):
            made = next(iter(steps))
            return made if made[2] in (0, 1) else UNTOLD
        return UNTOLD

    def read(self, text: str) -> str | Untold:
        """The segment that a cell's text stands for."""
        if not self.cell:
            return self.known[0][1]
        told = dict(self.known)
        if text in told:
            return told[text]
        offset, stems = self.offset, self.stems
        if not isinstance(offset, Untold) and _SIGNED.fullmatch(text):
            return str(int(text) + offset)
        if not isinstance(stems, Untold):
            stem, number = _stem(text)
            if stem == stems[0] and number >= 0:
                return f"{stems[1]}{number + stems[2]}"
        return UNTOLD

    def spec(self, texts: Collection[str]) -> dict[str, Any]:
        """The key's codec, with the texts of the dumps that it can say."""
        offset = self.offset
        if not isinstance(offset, Untold):
            return {"integer": {"offset": offset} if offset else {}}
        words = dict(self.known)
        for text in sorted(texts, key=lambda one: (len(one), one)):
            key = self.read(text)
            if not isinstance(key, Untold) and key not in words.values():
                words[text] = key
        return {"words": words}


def _stem(text: str) -> tuple[str, int]:
    found = re.fullmatch(r"(.*?)([0-9]{1,4})", text)
    return (found[1], int(found[2])) if found and str(int(found[2])) == found[2] else (text, -1)
