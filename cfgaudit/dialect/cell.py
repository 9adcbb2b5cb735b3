"""A cell of a line: its codec and what the dialect declares about its values."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from enum import Enum
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.bits import MOST, Bits, Field, Packed, nameless
from cfgaudit.dialect.codec.codec import ANY, Codec, Fields, Misfit, Range
from cfgaudit.dialect.codec.number import Integer, Scaled
from cfgaudit.dialect.codec.pattern import pattern
from cfgaudit.dialect.codec.pin import Pin, is_pin
from cfgaudit.dialect.codec.port import Port
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Flag, Free, Words
from cfgaudit.dialect.seal import is_seal
from cfgaudit.model.value import Value, spoken


class Undeclared(Enum):
    """A default that the dialect does not declare."""

    UNDECLARED = "undeclared"


UNDECLARED = Undeclared.UNDECLARED


class Cell(Struct, frozen=True):
    """Codec, range in model units, default, and the marks private and after."""

    codec: Codec
    range: Range = ANY
    default: Value | Fields | Undeclared = UNDECLARED
    private: bool = False
    after: str = ""  # "restart", "power cycle": when a change takes effect

    def read(self, text: str) -> Value | Fields:
        """What a text stands for. A seal in a private cell is its own value. Raises Misfit."""
        return text.strip('"') if self.private and is_seal(text) else self.codec.read(text)

    @property
    def fields(self) -> Mapping[str, Field]:
        """The fields of a packed cell; of another, none."""
        return self.codec.fields if isinstance(self.codec, Packed) else {}

    @property
    def keyable(self) -> bool:
        """Whether the cell's values can be segments of a path."""
        return isinstance(self.codec, Integer | Words | Pin | Port | Free)

    def outside(self, value: Value | Fields) -> str:
        """What is wrong with a value out of range, or ""."""
        if not isinstance(value, Mapping):
            return self.range.outside(value)
        wrongs = ((name, self.fields[name].range.outside(one)) for name, one in value.items())
        return next(
            (f"holds the {name} {spoken(value[name])}, which {wrong}" for name, wrong in wrongs if wrong), ""
        )


def cell(spec: Any) -> Cell:
    """A cell from its YAML, which a schema has accepted: one codec and extras.

    Raises ValueError with what is wrong.
    """
    options: Mapping[str, Any] = {spec: None} if isinstance(spec, str) else spec
    name = _codec_name(options)
    codec = CODECS[name](options[name], options)
    made = Cell(
        codec=codec,
        range=codec.range if isinstance(codec, Series) else _range(options),
        private=options.get("private") is True,
        after=options.get("after", ""),
    )
    return with_default(made, options["default"]) if "default" in options else made


def with_default(made: Cell, told: Any) -> Cell:
    """The cell with a default from YAML. Raises ValueError with what is wrong."""
    default: Value | Fields = tuple(told) if isinstance(told, list) else told
    said = spoken(default)
    try:
        written = made.codec.write(default)
        read_back = made.codec.write(made.codec.read(written)) == written
    except Misfit as misfit:
        raise ValueError(f"the default {said} {misfit.why}") from None
    if wrong := made.outside(default):
        raise ValueError(f"the default {said} {wrong}")
    if not read_back:
        raise ValueError(f"the default {said} would be read back as another")
    return replace(made, default=default)


def _codec_name(options: Mapping[str, Any]) -> str:
    named = [name for name in options if name in CODECS]
    if len(named) != 1:
        found = f"has {' and '.join(named)}" if named else "names no codec"
        raise ValueError(f"{found}; give exactly one of {', '.join(CODECS)}")
    for extra, codecs in _EXTRAS.items():
        if extra in options and named[0] not in codecs:
            raise ValueError(f"{extra!r} goes with {' or '.join(codecs)}, not with {named[0]}")
    return named[0]


_EXTRAS: Mapping[str, tuple[str, ...]] = {
    "range": ("integer", "decimal", "list"),
    "written": ("bits", "packed"),
    "none": ("pin",),
    "quoted": ("text",),
}


def _range(options: Mapping[str, Any]) -> Range:
    if "range" not in options:
        return ANY
    low, high = options["range"]
    if low > high:
        raise ValueError(f"a range goes from the lowest to the highest value, not from {low} to {high}")
    return Range(low, high)


def _integer(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    return Integer(value.get("offset", 0), value.get("base", 10), value.get("by", 1))


def _decimal(value: Any, options: Mapping[str, Any]) -> Codec:
    by, places = (value["by"], value.get("places", 0)) if isinstance(value, dict) else (value, 0)
    return Scaled(Decimal(str(by)), places)


def _words(value: Any, options: Mapping[str, Any]) -> Codec:
    return Words(dict(value))


def _bits(value: Any, options: Mapping[str, Any]) -> Codec:
    words = {int(bit): word for bit, word in value.items()}
    if len(set(words.values())) != len(words):
        raise ValueError("two bits have the same word")
    if any(nameless(word) for word in words.values()):
        raise ValueError("a word such as bit7 stands for a bit that has none")
    return Bits(words, _base(options))


def _list(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    single = cell(value.get("of", "text"))
    return Series(
        single.codec,
        value.get("separated", "").strip(),
        value.get("empty", ""),
        _range(options) if "range" in options else single.range,
    )


def _packed(value: Any, options: Mapping[str, Any]) -> Codec:
    fields = {name: _field(spec) for name, spec in value.items()}
    taken = [bit for field in fields.values() for bit in field.bits]
    if len(set(taken)) != len(taken):
        raise ValueError("two fields share a bit")
    return Packed(fields, _base(options))


def _field(spec: Mapping[str, Any]) -> Field:
    bits = _places(str(spec["bits"]))
    rest = {key: part for key, part in spec.items() if key != "bits"}
    if not rest.keys() - {"range"}:
        rest["integer"] = None
    if rest.get("flag", "") is None:
        rest["flag"] = {"on": 1, "off": 0}
    made = cell(rest)
    for text in _spelled(made.codec):
        if not re.fullmatch(r"0|[1-9][0-9]{0,17}", text) or int(text) >= 1 << len(bits):
            raise ValueError(f"{text!r} is not a number that {len(bits)} bits can hold")
    return Field(bits, made.codec, made.range)


def _spelled(codec: Codec) -> tuple[str, ...]:
    """The words that a codec knows."""
    if isinstance(codec, Flag):
        return codec.on + codec.off
    return tuple(codec.values) if isinstance(codec, Words) else ()


def _places(text: str) -> tuple[int, ...]:
    """``"0-3,8-9"`` → ``(0, 1, 2, 3, 8, 9)``: the bits of a field, its lowest first."""
    bits: list[int] = []
    for part in text.split(","):
        found = re.fullmatch(r" *([0-9]{1,2})(?:-([0-9]{1,2}))? *", part)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, MOST)
        if not first <= last < MOST:
            raise ValueError(f"{text!r} are not bits such as 0-3,8-9 (0 to {MOST - 1})")
        bits += range(first, last + 1)
    return tuple(bits)


def _flag(value: Any, options: Mapping[str, Any]) -> Codec:
    value = value or {}
    on, off = _spellings(value.get("on", "on")), _spellings(value.get("off", "off"))
    if both := set(on) & set(off):
        raise ValueError(f"{min(both)!r} cannot mean both yes and no")
    return Flag(on, off)


def _pin(value: Any, options: Mapping[str, Any]) -> Codec:
    made = Pin(value or "P{port}{number}", _spellings(options.get("none", "none")))
    if pins := [text for text in made.none if is_pin(text)]:
        raise ValueError(f"{pins[0]!r} is a pin: it cannot say that there is none")
    return made


def _port(value: Any, options: Mapping[str, Any]) -> Codec:
    return Port()


def _text(value: Any, options: Mapping[str, Any]) -> Codec:
    quoted = options.get("quoted")
    return Free(pattern(value) if value else None, quoted is True, quoted is False)


def _base(options: Mapping[str, Any]) -> int:
    return 16 if options.get("written") == "hex" else 10


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
    "port": _port,
    "text": _text,
}
