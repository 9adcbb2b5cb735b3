"""Which firmware wrote a dump: its header against the headers of the dialects at hand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Generic, Protocol, TypeVar

from msgspec import Struct

from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.front import Header
from cfgaudit.dump.read import lines
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path, parse
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import Versions

FIRST_LINES = 40  # where a header is looked for
LONGEST_HEADER = 300  # characters

_REMARK = re.compile(r"[ \t]*[#~;]+[ \t]*(.*?)[ \t]*")


class Fronted(Protocol):
    """What recognising takes: a dialect, or its front page alone."""

    @property
    def name(self) -> str: ...
    @property
    def file(self) -> str: ...
    @property
    def versions(self) -> Versions: ...
    @property
    def headers(self) -> tuple[Header, ...]: ...
    @property
    def full(self) -> frozenset[str]: ...
    @property
    def changed(self) -> frozenset[str]: ...


Known = TypeVar("Known", bound=Fronted)


class Recognition(Struct, Generic[Known], frozen=True):
    """A dialect and what the dump's header says."""

    dialect: Known
    extent: Extent
    header: Mapping[Path, Leaf]  # firmware.version, firmware.board …
    matched: int  # header lines found

    @property
    def version(self) -> str:
        """The firmware version that the header says, or ""."""
        leaf = self.header.get(("firmware", "version"))
        return str(leaf.value) if leaf else ""


def recognise(source: Text, dialects: Sequence[Known]) -> Recognition[Known]:
    """The one dialect whose header the dump carries. Raises Refusal on none and on a tie.

    Of several dialects that fit, those made for the dump's version come first.
    """
    fits = [fit for fit in (as_dialect(source, one) for one in dialects) if fit.matched]
    made_for = [fit for fit in fits if fit.version in fit.dialect.versions] or fits
    best = max((fit.matched for fit in made_for), default=0)
    chosen = [fit for fit in made_for if fit.matched == best]
    if len(chosen) == 1:
        return chosen[0]
    start = Place(source.file, 1, 1)
    if chosen:
        names = " and ".join(f"{fit.dialect.name} ({fit.dialect.file})" for fit in chosen)
        raise Refusal(f"the header fits {names} alike", "say which with --dialect", start)
    tried = "; ".join(f"{one.name} looks for “{one.headers[0].text}”" for one in dialects) or "there are none"
    raise Refusal(
        f"no dialect knows this dump: none of its first {FIRST_LINES} lines is a header ({tried})",
        "name the dialect with --dialect, or give a full dump with its header",
        start,
    )


def as_dialect(source: Text, dialect: Known) -> Recognition[Known]:
    """What the dump's header says when it is read as this dialect."""
    found: dict[str, Leaf] = {}
    headers = set()
    for header, values in _matches(source, dialect.headers):
        headers.add(header.text)
        for path, leaf in values.items():
            found.setdefault(path, leaf)
    extent = found.pop("extent", None)
    word = str(extent.value) if extent else ""
    known = {parse(path): leaf for path, leaf in found.items()}
    if headers:
        known.setdefault(("firmware", "name"), Leaf(dialect.name, Place(source.file, 1, 1)))
    return Recognition(dialect, _extent(dialect, word), known, len(headers))


def said_by(source: Text, headers: Sequence[Header]) -> dict[str, Leaf]:
    """What remarks at the beginning of a text say, by these templates; the first of a kind counts."""
    found: dict[str, Leaf] = {}
    for _, values in _matches(source, headers):
        for path, leaf in values.items():
            found.setdefault(path, leaf)
    return found


def _extent(dialect: Fronted, word: str) -> Extent:
    if word in dialect.full:
        return Extent.FULL
    return Extent.CHANGED if word in dialect.changed else Extent.UNKNOWN


def _first_lines(source: Text) -> Iterator[tuple[int, str]]:
    """The lines a header may be on, with their numbers: in a capture, anything may stand before it."""
    return enumerate(lines(source.text, None if source.original else FIRST_LINES), 1)


def _matches(source: Text, headers: Sequence[Header]) -> Iterator[tuple[Header, dict[str, Leaf]]]:
    for number, row in _first_lines(source):
        remark = _REMARK.fullmatch(row.rstrip("\r\n")) if len(row) <= LONGEST_HEADER else None
        if remark is None:
            continue
        for header in headers:
            found = header.pattern.fullmatch(row, remark.start(1), remark.end(1))
            if found:
                yield (
                    header,
                    {
                        path: Leaf(found[n], Place(source.file, number, found.start(n) + 1))
                        for n, path in enumerate(header.gives, 1)
                    },
                )
