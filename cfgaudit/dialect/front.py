"""A dialect's front page: what recognising a dump takes, without all that reading it takes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.template import holes
from cfgaudit.model.placed import Placed
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import Versions, versions

_HOLE = re.compile(r"\{([a-z_.]+)\}")
_IN_HEADER = re.compile(r"(?:firmware|identity)\.[a-z_]+|extent")
_IN_PRESET = re.compile(r"firmware\.(?:versions|version|board|mcu)")


class Header(Struct, frozen=True):
    """A remark that says which firmware wrote the dump, or which one a preset was typed for."""

    text: str
    pattern: re.Pattern[str]
    gives: tuple[str, ...]  # what its groups give: model paths in dots, or "extent"


class Front(Struct, frozen=True):
    """Name, headers and versions of a dialect, and the words by which a header tells the extent.

    ``made_for`` are remarks of presets; their {firmware.versions} holds a range, blanks included.
    """

    name: str
    file: str
    versions: Versions
    headers: tuple[Header, ...]
    made_for: tuple[Header, ...]
    full: frozenset[str]
    changed: frozenset[str]


def front(placed: Placed) -> Front:
    """The front page of a dialect file. Raises Refusal for what its schema cannot see."""
    data: dict[str, Any] = placed.data  # type: ignore[assignment]  # the schema: a mapping
    spoken_by = versions(data.get("versions", ""))
    if spoken_by is None:
        raise Refusal("not a range of versions", 'write it as ">=4.0 <5.0"', placed.place(("versions",)))
    extent = data.get("extent", {})
    return Front(
        name=data["dialect"],
        file=placed.file,
        versions=spoken_by,
        headers=tuple(_headers(placed, data, "header", _in_header)),
        made_for=tuple(_headers(placed, data, "made_for", _in_preset)),
        full=frozenset(_listed(extent.get("full", "full"))),
        changed=frozenset(_listed(extent.get("changed", "changed"))),
    )


def _headers(
    placed: Placed, data: dict[str, Any], key: str, wrong: Callable[[tuple[str, ...]], str]
) -> Iterator[Header]:
    """The remarks under a key. Raises Refusal for one that gives what it should not."""
    for n, text in enumerate(_listed(data.get(key, []))):
        try:
            pattern, gives = holes(text, _HOLE, blank=r"[ \t]++")  # a capture may have more of them
            if said := wrong(gives):
                raise ValueError(said)
        except ValueError as error:
            raise Refusal(str(error), "mend the dialect file", placed.place((key, n))) from None
        yield Header(text, pattern, gives)


def _in_header(gives: tuple[str, ...]) -> str:
    """What is wrong with what a header gives, or ""."""
    if not gives:
        return "a header has a cell, such as {firmware.version}"
    other = next((path for path in gives if not _IN_HEADER.fullmatch(path)), "")
    return other and f"a header gives firmware.…, identity.… or extent, not {other}"


def _in_preset(gives: tuple[str, ...]) -> str:
    """What is wrong with what a preset's remark gives, or ""."""
    if not {"firmware.versions", "firmware.version"} & {*gives}:
        return "what a preset was typed for has a version, such as {firmware.versions}"
    other = next((path for path in gives if not _IN_PRESET.fullmatch(path)), "")
    return other and f"it gives firmware.versions, .version, .board or .mcu, not {other}"


def _listed(value: Any) -> list[str]:
    """One text or a list of them → a list."""
    return [str(one) for one in value] if isinstance(value, list) else [str(value)]
