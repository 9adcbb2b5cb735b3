"""Bits in an integer: a mask of words, and fields packed side by side or apart."""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct

from cfgaudit.dialect.codec.codec import ANY, Codec, Fields, Misfit, Range
from cfgaudit.dialect.codec.number import figure, whole
from cfgaudit.model.value import Scalar, Value

MOST = 60  # bits; what reads back as a whole number of 18 digits
_NAMELESS = re.compile(r"bit([0-9]{1,2})")


def nameless(word: object) -> bool:
    """Whether a word of a mask only says which bit it is, because the dialect has no word for it."""
    return isinstance(word, str) and _NAMELESS.fullmatch(word) is not None


class Bits(Struct, frozen=True):
    """A mask: each bit a word. Unknown bits read as ``bit9``, so that nothing is lost."""

    words: Mapping[int, str]
    base: int = 10

    def read(self, text: str) -> tuple[str, ...]:
        """See Codec. The words come in the order of their bits."""
        mask = whole(text, self.base)
        if mask < 0:
            raise Misfit("is negative: a mask never is")
        return tuple(self.words.get(n, f"bit{n}") for n in range(mask.bit_length()) if mask >> n & 1)

    def write(self, value: Value | Fields) -> str:
        """See Codec."""
        if not isinstance(value, tuple):
            raise Misfit("is not a list of words")
        return figure(sum(1 << self._bit(str(word)) for word in dict.fromkeys(value)), self.base)

    def _bit(self, word: str) -> int:
        for number, known in self.words.items():
            if known == word:
                return number
        found = _NAMELESS.fullmatch(word)
        if found and int(found[1]) < MOST and int(found[1]) not in self.words:
            return int(found[1])
        raise Misfit(f"holds {word}, for which this firmware has no bit", "word")

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is a list: it cannot stand in a path")


class Field(Struct, frozen=True):
    """A part of a packed integer: its bits, lowest first, not always adjacent, and its codec.

    The field's number goes to the codec in decimal, so a field may be offset, scaled or a word.
    """

    bits: tuple[int, ...]
    codec: Codec
    range: Range = ANY

    def take(self, packed: int) -> Value | Fields:
        """The field's value out of the integer."""
        return self.codec.read(str(sum((packed >> bit & 1) << n for n, bit in enumerate(self.bits))))

    def put(self, value: Value | Fields) -> int:
        """The field's share of the integer."""
        number = whole(self.codec.write(value))
        if not 0 <= number < 1 << len(self.bits):
            raise Misfit(f"does not fit in {len(self.bits)} bits")
        return sum((number >> n & 1) << bit for n, bit in enumerate(self.bits))


class Packed(Struct, frozen=True):
    """One integer that holds several values."""

    fields: Mapping[str, Field]
    base: int = 10

    def read(self, text: str) -> Fields:
        """See Codec. Bits outside every field must be clear, or writing would lose them."""
        packed = whole(text, self.base)
        known = sum(1 << bit for field in self.fields.values() for bit in field.bits)
        if packed < 0 or packed & ~known:
            raise Misfit("has bits that the dialect does not know", "word")
        taken = {name: field.take(packed) for name, field in self.fields.items()}
        return {name: value for name, value in taken.items() if not isinstance(value, Mapping)}

    def write(self, value: Value | Fields) -> str:
        """See Codec. Every field must be given."""
        if not isinstance(value, Mapping):
            raise Misfit("is one value where several are packed")
        missing = [name for name in self.fields if name not in value]
        if missing:
            raise Misfit(f"lacks {', '.join(missing)}")
        return figure(sum(field.put(value[name]) for name, field in self.fields.items()), self.base)

    def parse(self, key: str) -> Scalar:
        """See Codec."""
        raise Misfit("is packed: it cannot stand in a path")
