"""A codec of the dialect's own: held to, never grown."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.codec.bits import Packed
from cfgaudit.dialect.codec.codec import Codec, Misfit
from cfgaudit.dialect.codec.number import Integer, whole
from cfgaudit.dialect.teach.coding import Coding, Told
from cfgaudit.dialect.teach.fact import UNTOLD, Fact, Untold, disagreement
from cfgaudit.model.value import Value


class Own(Struct, frozen=True):
    """A cell's codec as the dialect has it, or one field of a packed cell. ``label`` tells them apart."""

    codec: Codec
    label: str
    field: str = ""
    weak: bool = False
    simple: int = 0

    def __hash__(self) -> int:
        return hash((self.label, self.field))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Own) and (self.label, self.field) == (other.label, other.field)

    @property
    def positions(self) -> tuple[int, ...]:
        """The bits of a packed field."""
        return self.codec.fields[self.field].bits if isinstance(self.codec, Packed) else ()

    def learn(self, told: Told) -> Iterator[Coding]:
        """See Coding. It goes on as it is, or not at all."""
        old = self.read(told.before) if isinstance(told.before, str) else UNTOLD
        new = self.read(told.after) if isinstance(told.after, str) else UNTOLD
        if isinstance(told.before, str) and isinstance(old, Untold):
            return
        if isinstance(told.after, str):
            wrong = isinstance(new, Untold) or any(disagreement(fact, old, new) for fact in told.facts)
        else:
            wrong = any(fact.was not in (UNTOLD, old) for fact in told.facts)
        if not wrong:
            yield self

    def read(self, text: str) -> Value | Untold:
        """See Coding."""
        try:
            if isinstance(self.codec, Packed):
                value = self.codec.fields[self.field].take(whole(text, self.codec.base))
            else:
                value = self.codec.read(text)
        except Misfit:
            return UNTOLD
        return value if isinstance(value, bool | int | float | str | tuple) else UNTOLD

    def predict(self, text: str, fact: Fact) -> str:
        """See Coding."""
        try:
            return self.codec.write(fact.value)
        except Misfit:
            return "?"

    @property
    def spec(self) -> dict[str, Any]:
        """See Coding. What the dialect has stays as it is."""
        return {}

    @property
    def said(self) -> str:
        """See Coding."""
        if isinstance(self.codec, Packed):
            return f"the field {self.field!r} as the dialect has it"
        return "the number itself" if self.codec == Integer() else "as the dialect has it"
