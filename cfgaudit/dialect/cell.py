"""A cell of a line: its codec and what the dialect declares about its values."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import Any

from cfgaudit.dialect.codec.bits import Bits, Field, Packed
from cfgaudit.dialect.codec.codec import Codec, Fields, Misfit
from cfgaudit.dialect.codec.number import Integer, Scaled
from cfgaudit.dialect.codec.pin import Pin
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Flag, Free, Words
from cfgaudit.model.value import Value, spoken


class Undeclared(Enum):
    """A default that the dialect does not declare."""

    UNDECLARED = "undeclared"


UNDECLARED = Undeclared.UNDECLARED


@dataclass(frozen=True, slots=True)
class Cell:
    """Codec, range in model units, default, and the marks private, after, since, until."""

    codec: Codec
    low: float = float("-inf")
    high: float = float("inf")
    default: Value | Undeclared = UNDECLARED
    private: bool = False
    after: str = ""  # "restart", "power cycle": when a change takes effect
    since: str = ""
    until: str = ""

    def outside(self, value: Value | Fields) -> str:
        """What is wrong with a value out of range, or ""."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return ""
        if self.low <= value <= self.high:
            return ""
        return f"is outside {spoken(self.low)} to {spoken(self.high)}"


def cell(spec: Any) -> Cell:
    """A cell from its YAML: one codec and extras. Raises ValueError with what is wrong."""
    options = {spec: None} if isinstance(spec, str) else dict(spec or {})
    named = [name for name in options if name in CODECS]
    if len(named) != 1:
        found = f"has {' and '.join(named)}" if named else "names no codec"
        raise ValueError(f"{found}; give exactly one of {', '.join(CODECS)}")
    low, high = options.get("range") or (float("-inf"), float("inf"))
    default = options.get("default", UNDECLARED)
    made = Cell(
        codec=CODECS[named[0]](options[named[0]], options),
        low=low,
        high=high,
        default=tuple(default) if isinstance(default, list) else default,
        private=options.get("private") is True,
        after=options.get("after", ""),
        since=str(options.get("since", "")),
        until=str(options.get("until", "")),
    )
    if not isinstance(made.default, Undeclared):
        try:
            made.codec.write(made.default)
        except Misfit as misfit:
            raise ValueError(f"the default {spoken(made.default)} {misfit.why}") from None
        if wrong := made.outside(made.default):
            raise ValueError(f"the default {spoken(made.default)} {wrong}")
    return made


def _integer(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    return Integer(value.get("offset", 0), value.get("base", 10))


def _decimal(value: Any, options: Mapping[str, Any]) -> Codec:
    by, places = (value["by"], value.get("places", 0)) if isinstance(value, dict) else (value, 0)
    try:
        scale = Decimal(str(by))
    except InvalidOperation:
        raise ValueError(f"{by!r} is not a scale such as 0.01") from None
    if not scale.is_finite() or scale <= 0:
        raise ValueError("a scale is a number above 0")
    return Scaled(scale, places)


def _words(value: Any, options: Mapping[str, Any]) -> Codec:
    return Words(dict(value))


def _bits(value: Any, options: Mapping[str, Any]) -> Codec:
    return Bits({int(bit): str(word) for bit, word in value.items()}, _base(options))


def _list(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    return Series(cell(value.get("of", "text")).codec, value.get("separated", ""), value.get("empty", ""))


def _packed(value: Any, options: Mapping[str, Any]) -> Codec:
    fields = {}
    for name, spec in value.items():
        rest = {key: part for key, part in spec.items() if key != "bits"}
        codec: Codec = Integer()
        if "flag" in rest:
            codec = Flag(("1",), ("0",))
        elif rest:
            codec = cell(rest).codec
        fields[name] = Field(_places(str(spec["bits"])), codec)
    taken = [bit for field in fields.values() for bit in field.bits]
    if len(set(taken)) != len(taken):
        raise ValueError("two fields share a bit")
    return Packed(fields, _base(options))


def _places(text: str) -> tuple[int, ...]:
    """``"0-3,8-9"`` → ``(0, 1, 2, 3, 8, 9)``: the bits of a field, its lowest first."""
    bits: list[int] = []
    for part in text.split(","):
        found = re.fullmatch(r"\s*(\d{1,2})(?:-(\d{1,2}))?\s*", part)
        if not found or int(found[2] or found[1]) < int(found[1]) or int(found[2] or found[1]) > 59:
            raise ValueError(f"{text!r} are not bits such as 0-3,8-9 (0 to 59)")
        bits += range(int(found[1]), int(found[2] or found[1]) + 1)
    return tuple(bits)


def _flag(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    return Flag(_spellings(value.get("on", "on")), _spellings(value.get("off", "off")))


def _pin(value: Any, options: Mapping[str, Any]) -> Codec:
    made = Pin(value or "P{port}{number}", _spellings(options.get("none", "none")))
    try:
        read_back = made.read(made.write("PB6"))
    except (Misfit, KeyError, IndexError, ValueError):
        read_back = ""
    if read_back != "PB6":
        raise ValueError("a pin is written with {port} and {number}, such as P{port}{number:02}")
    return made


def _text(value: Any, options: Mapping[str, Any]) -> Codec:
    try:
        pattern = re.compile(value) if value else None
    except re.error as error:
        raise ValueError(f"the pattern does not compile: {error}") from None
    return Free(pattern, options.get("quoted") is True)


def _base(options: Mapping[str, Any]) -> int:
    return 16 if options.get("written", "decimal") == "hex" else 10


def _spellings(value: Any) -> tuple[str, ...]:
    spellings = value if isinstance(value, list) else [value]
    return tuple(str(one).lower() if isinstance(one, bool) else str(one) for one in spellings)


CODECS: Mapping[str, Callable[[Any, Mapping[str, Any]], Codec]] = {
    "integer": _integer,
    "decimal": _decimal,
    "words": _words,
    "bits": _bits,
    "list": _list,
    "packed": _packed,
    "flag": _flag,
    "pin": _pin,
    "text": _text,
}
