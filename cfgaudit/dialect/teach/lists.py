"""Lists of words: a mask with a bit for each, and words set side by side."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import permutations
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.teach.coding import Coding, Told, bits_of, integer
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold
from cfgaudit.model.value import Value


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
        before, after = integer(told.before, self.base), integer(told.after, self.base)
        if not isinstance(told.before, Untold) and isinstance(before, Untold):
            return
        if not isinstance(told.after, Untold) and isinstance(after, Untold):
            return
        for on, off in _moves(told):
            state: list[Mask] = [self]
            if on is not None:
                if isinstance(after, Untold):
                    continue
                state = [made for one in state for made in one._named(bits_of(after), on)]
            else:
                added = {w for fact in told.facts if fact.sign == "+=" for w in words_in(fact)}
                taken = {w for fact in told.facts if fact.sign == "-=" for w in words_in(fact)}
                state = [made for one in state for made in one._moved(before, after, added, taken)]
            if off is not None and not isinstance(before, Untold):
                state = [made for one in state for made in one._named(bits_of(before), off)]
            yield from state

    def _moved(
        self, before: int | Untold, after: int | Untold, added: set[str], taken: set[str]
    ) -> Iterator[Mask]:
        if isinstance(before, Untold) or isinstance(after, Untold):
            there, words = (after, added) if isinstance(before, Untold) else (before, taken)
            if isinstance(there, Untold) or not words or words != added | taken:
                return  # nothing is added by a line that goes, nor taken by one that comes
            every = sorted(bits_of(there))
            for chosen in permutations(every, len(words)):
                yield from self._with(zip(chosen, sorted(words), strict=True))
            return
        for made in self._named(bits_of(after & ~before), added):
            yield from made._named(bits_of(before & ~after), taken)

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
        mask = integer(text, self.base)
        if isinstance(mask, Untold):
            return UNTOLD
        return tuple(self.words.get(bit, f"bit{bit}") for bit in sorted(bits_of(mask)))

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        mask, by_word = integer(text, self.base), {word: bit for bit, word in self.bits}
        if isinstance(mask, Untold) or not all(word in by_word for word in words_in(fact)):
            return "one more bit"
        for word in words_in(fact):
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
        added = {w for fact in told.facts if fact.sign == "+=" for w in words_in(fact)}
        taken = {w for fact in told.facts if fact.sign == "-=" for w in words_in(fact)}
        before = self.tokens(told.before) if isinstance(told.before, str) else UNTOLD
        after = self.tokens(told.after) if isinstance(told.after, str) else UNTOLD
        for on, off in _moves(told):
            state: list[Listed] = [self]
            if on is not None and not isinstance(after, Untold):
                state = [made for one in state for made in one._named(after, on)]
            elif on is None and isinstance(before, Untold) and not isinstance(after, Untold):
                if taken:
                    return  # nothing is taken off a line that comes
                chosen = permutations(after, len(added))
                state = [m for c in chosen for m in self._with(zip(c, sorted(added), strict=True))]
            elif on is None and isinstance(after, Untold) and not isinstance(before, Untold):
                if added:
                    return
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
        if not all(word in by_word for word in words_in(fact)):
            return "another word"
        tokens = [*self.tokens(text)]
        for word in words_in(fact):
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


def words_in(fact: Fact) -> tuple[str, ...]:
    return tuple(str(one) for one in fact.value) if isinstance(fact.value, tuple) else (str(fact.value),)


def _moves(told: Told) -> Iterator[tuple[Collection[str] | None, Collection[str] | None]]:
    """The whole lists after and before, where a fact says them."""
    whole = [fact for fact in told.facts if fact.sign == "="]
    if not whole:
        yield None, None
    elif len(told.facts) == 1:
        was = whole[0].was
        before = [str(one) for one in was] if isinstance(was, tuple) else None
        yield list(dict.fromkeys(words_in(whole[0]))), before
