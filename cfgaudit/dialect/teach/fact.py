"""Facts: what a builder says of a change that was made on purpose, in words of the model."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from enum import Enum
from functools import cache
from importlib import resources
from typing import Any

from msgspec import Struct

from cfgaudit.model.path import Path, dotted, parse
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Scalar, Value, spoken


class Untold(Enum):
    """What nobody has told."""

    UNTOLD = "untold"


UNTOLD = Untold.UNTOLD
ANY = "*"  # a segment of a path that a line's own cell may say

_FACT = re.compile(r"\s*([^\s=+]+?)\s*(\+=|-=|=)\s*(.*?)\s*")
_WAS = re.compile(r"(.*?)\s+was\s+(.*)")
_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,9})?")
_FLAGS = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}
_MEND = "write it as 'ports.UART4.functions += displayport' or 'battery.cell_warn_v = 3.5'"


class Fact(Struct, frozen=True):
    """One thing that was changed. ``was`` is what it was before, if the builder said so."""

    path: Path
    sign: str  # "=", "+=" or "-="
    value: Value
    was: Value | Untold = UNTOLD

    @property
    def text(self) -> str:
        """The fact as it is written."""
        was = "" if isinstance(self.was, Untold) else f" was {_written(self.was)}"
        return f"{dotted(self.path)} {self.sign} {_written(self.value)}{was}"

    @property
    def shape(self) -> Path:
        """The path with ``*`` for what the cells of a line may say: its port, its element."""
        return shape(self.path)

    @property
    def keys(self) -> tuple[str, ...]:
        """What stands in the path where its shape has a ``*``."""
        return tuple(key for key, part in zip(self.path, self.shape, strict=True) if part == ANY)


def fact(text: str) -> Fact:
    """A fact from its text. Raises Refusal."""
    found = _FACT.fullmatch(text)
    if not found or not found[3]:
        raise Refusal(f"{text!r} is no fact", _MEND)
    path = parse(found[1])
    kind = kind_of(path)
    if not kind:
        raise Refusal(f"the model has no path {found[1]}", "see model.schema.json for those it has")
    if found[2] != "=" and kind != "list":
        raise Refusal(f"{found[1]} is no list, so nothing is added or taken", f"write '{found[1]} = …'")
    was = _WAS.fullmatch(found[3]) if found[2] == "=" else None
    value, before = (was[1], was[2]) if was else (found[3], "")
    return Fact(path, found[2], _value(text, kind, value), _value(text, kind, before) if was else UNTOLD)


def _value(text: str, kind: str, written: str) -> Value:
    if kind == "list":
        words = re.split(r"\s*,\s*|\s+and\s+", written)
        return () if words in (["none"], ["nothing"]) else tuple(words)
    if kind == "flag":
        if written.lower() not in _FLAGS:
            raise Refusal(f"{written!r} is neither yes nor no", f"mend the fact {text!r}")
        return _FLAGS[written.lower()]
    if kind == "number" or (kind == "any" and _NUMBER.fullmatch(written)):
        if not _NUMBER.fullmatch(written):
            raise Refusal(f"{written!r} is not a number", f"mend the fact {text!r}")
        return float(written) if "." in written and float(written) % 1 else int(float(written))
    if kind == "any" and written.lower() in ("yes", "no", "true", "false"):
        return _FLAGS[written.lower()]
    return written.strip('"')


def _written(value: Value) -> str:
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value) or "none"
    return repr(value) if isinstance(value, float) else spoken(value)


def disagreement(fact: Fact, old: Value | Untold, new: Value | Untold) -> str:
    """What of a value before and after a change is not as the fact says, or ""."""
    if fact.sign == "=":
        if not isinstance(fact.was, Untold) and old != fact.was and not isinstance(old, Untold):
            return f"reads {spoken(old)} before, not {spoken(fact.was)}"
        if isinstance(new, Untold):
            return "is not read from the changed lines"
        same = (
            set(new) == set(fact.value) if isinstance(new, tuple) and isinstance(fact.value, tuple) else False
        )
        return "" if same or new == fact.value else f"reads {spoken(new)}, not {spoken(fact.value)}"
    words = set(fact.value) if isinstance(fact.value, tuple) else {fact.value}
    was = set(old) if isinstance(old, tuple) else set()
    now = set(new) if isinstance(new, tuple) else set()
    if isinstance(old, Untold) and isinstance(new, Untold):
        return "is not read from the changed lines"
    there, away = (now, was) if fact.sign == "+=" else (was, now)
    if not words <= there or words & away:
        return f"reads {spoken(sorted(map(str, was)))} before and {spoken(sorted(map(str, now)))} after"
    return ""


# The vocabulary


@cache
def _vocabulary() -> Mapping[str, Any]:
    text = resources.files("cfgaudit.model").joinpath("model.schema.json").read_text("utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def _resolved(node: Mapping[str, Any]) -> Mapping[str, Any]:
    while "$ref" in node:
        node = {**node, **_vocabulary()["$defs"][node["$ref"].rsplit("/", 1)[-1]]}
        node = {key: value for key, value in node.items() if key != "$ref"}
    return node


@cache
def _way(path: Path) -> tuple[Path, Mapping[str, Any]] | None:
    """The shape of a path and its leaf in the vocabulary, or None if it has no such path."""
    node = _resolved(_vocabulary())
    parts: list[str] = []
    for key in path:
        if key in node.get("properties", {}):
            node = _resolved(node["properties"][key])
            parts.append(key)
        elif isinstance(node.get("additionalProperties"), dict) and re.fullmatch(r"[A-Za-z0-9_*-]+", key):
            node = _resolved(node["additionalProperties"])
            named = parts and (parts[-1] in ("rates_baud", "limits") or parts[0] in ("profiles", "rates"))
            own = parts and parts[0] in ("profiles", "rates") and len(parts) == 1
            parts.append(ANY if own or not named else key)
        else:
            return None
    return None if "properties" in node or "additionalProperties" in node else (tuple(parts), node)


def shape(path: Path) -> Path:
    """``ports.UART4.functions`` → ``ports.*.functions``; the path itself if the model has it not."""
    way = _way(path)
    return way[0] if way else path


def kind_of(path: Path) -> str:
    """What a path holds: list, flag, number, pin, word, name (free text) or any; "" if there is none."""
    way = _way(path)
    if not way:
        return ""
    leaf = way[1]
    kinds = leaf.get("type", "string")
    if isinstance(kinds, list):
        return "any"
    if "P[A-K]" in leaf.get("pattern", ""):
        return "pin"
    if path[0] in ("identity", "firmware") or path[-1] in ("channel_order", "bind"):
        return "name"
    return {"array": "list", "boolean": "flag", "integer": "number", "number": "number"}.get(kinds, "word")


# Rates of serial lines: the common ladder of asynchronous links, and what SBUS (100000) and CRSF run at
_LADDER = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600)
_BIT_RATES = tuple(sorted((*_LADDER, 100_000, 420_000)))


def values_of(path: Path) -> tuple[int, ...]:
    """The numbers that a path has in practice; none if any may be."""
    return _BIT_RATES if path[-1] == "rate_baud" or "rates_baud" in path else ()


def may_be(path: Path, value: Value) -> bool:
    """Whether the vocabulary allows a value at a path."""
    way = _way(path)
    if not way:
        return False
    leaf = way[1]
    if isinstance(value, tuple):
        return all(one in words_of(path) for one in value)
    if isinstance(value, str | bool):
        return "enum" not in leaf or value in leaf["enum"]
    whole = leaf.get("type") != "integer" or value == int(value)
    low, high = leaf.get("minimum", float("-inf")), leaf.get("maximum", float("inf"))
    return whole and low <= value <= high


def words_of(path: Path) -> tuple[Scalar, ...]:
    """The words that the vocabulary lists for a path, in its order."""
    way = _way(path)
    if not way:
        return ()
    leaf = way[1]
    leaf = _resolved(leaf["items"]) if "items" in leaf else leaf
    return tuple(leaf.get("enum", leaf.get("examples", ())))
