"""A dialect's front page: what recognising a dump takes, without all that reading it takes."""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct

from cfgaudit.dialect.template import holes
from cfgaudit.model.placed import Placed
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import Versions, versions

_HOLE = re.compile(r"\{([a-z_.]+)\}")
_PATH = re.compile(r"(?:firmware|identity)\.[a-z_]+|extent")


class Header(Struct, frozen=True):
    """A remark that says which firmware wrote the dump."""

    text: str
    pattern: re.Pattern[str]
    gives: tuple[str, ...]  # what its groups give: model paths in dots, or "extent"


class Front(Struct, frozen=True):
    """Name, headers and versions of a dialect, and the words by which a header tells the extent."""

    name: str
    file: str
    versions: Versions
    headers: tuple[Header, ...]
    full: frozenset[str]
    changed: frozenset[str]


def front(placed: Placed) -> Front:
    """The front page of a dialect file. Raises Refusal for what its schema cannot see."""
    data: dict[str, Any] = placed.data  # type: ignore[assignment]  # the schema: a mapping
    made_for = versions(data.get("versions", ""))
    if made_for is None:
        raise Refusal("not a range of versions", 'write it as ">=4.0 <5.0"', placed.place(("versions",)))
    extent = data.get("extent", {})
    headers = []
    for n, text in enumerate(_listed(data["header"])):
        try:
            headers.append(_header(text))
        except ValueError as error:
            raise Refusal(str(error), "mend the dialect file", placed.place(("header", n))) from None
    return Front(
        name=data["dialect"],
        file=placed.file,
        versions=made_for,
        headers=tuple(headers),
        full=frozenset(_listed(extent.get("full", "full"))),
        changed=frozenset(_listed(extent.get("changed", "changed"))),
    )


def _header(text: str) -> Header:
    pattern, gives = holes(text, _HOLE, blank=r"[ \t]++")  # a capture may have more of them
    for path in gives:
        if not _PATH.fullmatch(path):
            raise ValueError(f"a header gives firmware.…, identity.… or extent, not {path}")
    if not gives:
        raise ValueError("a header has a cell, such as {firmware.version}")
    return Header(text, pattern, gives)


def _listed(value: Any) -> list[str]:
    """One text or a list of them → a list."""
    return [str(one) for one in value] if isinstance(value, list) else [str(value)]
