"""YAML with places: a file's data, and for every part of it the line and column it was written at.

The language is YAML 1.2's core schema, so words stay what they look like: ``on``, ``NO`` and
``12:30`` are text. What comes out is JSON and nothing else; what cannot be JSON is refused where
it stands.
"""

from __future__ import annotations

import math
import os
import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any, Literal

from msgspec import Struct

from cfgaudit.kept import keep, recall
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Json

Trail = tuple[str | int, ...]  # the way to a node as it was written: keys, and indexes from 0

BYTES_MOST = 4_000_000
NODES_MOST = 100_000  # keys and values, aliases counted as what they stand for
DEPTH_MOST = 50
INTEGERS = range(-(2**63), 2**63)

_CORE = "tag:yaml.org,2002:"
_LINE_END = re.compile(r"\r\n|\n|\r")
# What YAML does not allow in a file (chapter 5.1 of its specification). A lone surrogate can only
# come in a text that never was a file.
_NOT_TEXT = re.compile("[\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
# Faults that are mended where the quote or bracket opens, not where the parser gave up.
_OPENED = re.compile(r"found unexpected end of stream|did not find expected ',' or")
_TOO_DEEP = f"nested more than {DEPTH_MOST} levels deep"
_MENDS = (
    ("found a tab", "indent with blanks"),
    ("cannot start any token", "put a value that starts with a sign such as @, ` or % in quotes"),
    ("mapping values are not allowed", "put a value that holds a colon in quotes, and check the indentation"),
    ("could not find expected ':'", "write 'key: value' with a blank after the colon"),
    ("unexpected end of stream", "close the quote that is opened here"),
    ("did not find expected ',' or", "set a comma or close the bracket"),
    ("did not find expected key", "start all keys of one block in the same column"),
    ("did not find expected '-'", "start all entries of one list in the same column"),
    ("escape", "in double quotes a backslash starts an escape: write it twice, or use single quotes"),
    ("tag", "remove the tag"),
    ("incompatible YAML", "remove the %YAML line"),
    ("directive", "remove the line that starts with %"),
    ("expected <document start>", "keep one document in one file, and check the indentation"),
)


class Placed(Struct, frozen=True, dict=True):
    """What a YAML file says and where it says it.

    ``data`` is JSON; all keys are text. ``places`` holds where each node's value starts, by its
    trail (``("devices", 0, "receiver", "port")``), and ``keys`` where the keys of mappings start.
    What is reached through an alias has the places of what the alias stands for. ``text`` is the
    whole file without a byte-order mark.
    """

    data: dict[str, Json] | list[Json]
    places: Mapping[Trail, Place]
    file: str
    keys: Mapping[Trail, Place]
    text: str

    def place(self, trail: Trail) -> Place:
        """Where the value at a trail starts; of what is not written, where its nearest ancestor does."""
        return next(
            (self.places[trail[:end]] for end in range(len(trail), -1, -1) if trail[:end] in self.places),
            Place(self.file, 1),
        )

    def named(self, trail: Trail) -> Place:
        """Where a person would look for the node: at its key if its value starts on a line below.

        A block of keys starts, for YAML, at its first key; a person calls the line above, the one
        with the block's name, its start. A value that is not there starts nowhere.
        """
        near = next((trail[:end] for end in range(len(trail), 0, -1) if trail[:end] in self.places), ())
        place = self.place(near)
        key = self.keys.get(near)
        return key if key and (key.line < place.line or self._is_nothing(near)) else place

    def _is_nothing(self, trail: Trail) -> bool:
        node: Any = self.data
        for step in trail:
            node = node[step]
        return node is None

    def line(self, place: Place) -> str:
        """The text of the line at a place without indentation and line end; "" if there is none."""
        lines = self._lines
        return lines[place.line - 1].strip() if 0 < place.line <= len(lines) else ""

    def offset(self, place: Place) -> int:
        """The offset in the text of what stands at a place."""
        return self._page.starts[place.line - 1] + place.column - 1

    def at(self, offset: int) -> Place:
        """The place of what stands at an offset in the text."""
        return self._page.place(offset)

    @cached_property
    def _page(self) -> _Page:
        return _lined(self.text, self.file)

    @cached_property
    def _lines(self) -> tuple[str, ...]:
        return tuple(_LINE_END.split(self.text))


def load(
    path: str | os.PathLike[str],
    leave_out: frozenset[str] = frozenset(),
) -> Placed:
    """Read a YAML file from disk; raises Refusal if it cannot be read or is not plain YAML.

    ``leave_out`` names keys that are passed over with all below them.
    """
    name = os.fspath(path)
    place = Place(name, 1)
    try:
        with open(name, "rb") as source:
            content = source.read(BYTES_MOST + 1)
    except FileNotFoundError:
        raise Refusal("there is no such file", "check the name and the folder", place) from None
    except IsADirectoryError:
        raise Refusal("this is a folder", "name the file in it", place) from None
    except PermissionError:
        raise Refusal("this file may not be read", "allow reading it", place) from None
    except (OSError, ValueError) as fault:
        raise Refusal(f"this file cannot be read ({shown(str(fault))})", "check its name", place) from None
    return read_yaml(content, name, leave_out)


def load_shipped(path: FilePath, leave_out: frozenset[str] = frozenset()) -> Placed:
    """A YAML file of the box, without parsing it again if an earlier run has kept its data.

    The tests have seen these files, so places are seldom asked for: then the file is parsed after all.
    """
    ending = "".join(f"-{key}" for key in sorted(leave_out)) + ".json"
    kept = recall(path, ending)
    if isinstance(kept, dict | list):
        return Placed(kept, _Deferred(path, "places"), str(path), _Deferred(path, "keys"), "")
    placed = load(path, leave_out)
    keep(path, ending, placed.data)
    return placed


class _Deferred(Mapping[Trail, Place]):
    """The places of a file of the box, found when somebody asks."""

    def __init__(self, path: FilePath, kind: Literal["places", "keys"]) -> None:
        self.path = path
        self.kind = kind

    @cached_property
    def found(self) -> Mapping[Trail, Place]:
        placed = load(self.path)
        return placed.places if self.kind == "places" else placed.keys

    def __getitem__(self, trail: Trail) -> Place:
        return self.found[trail]

    def __iter__(self) -> Iterator[Trail]:
        return iter(self.found)

    def __len__(self) -> int:
        return len(self.found)


def read_yaml(
    text: str | bytes,
    file: str,
    leave_out: frozenset[str] = frozenset(),
) -> Placed:
    """The data of one YAML document with its places.

    Refused, each with its place: what is not UTF-8 or not YAML, an empty file, more than one
    document, tags beyond the core schema, keys that are neither text nor numbers, a key written
    twice, numbers that are infinite, no number or beyond 64 bits, NUL, more than 4,000,000 bytes,
    100,000 nodes or 50 levels, and aliases that hold themselves.
    """
    page = _page(text, file)
    if odd := _NOT_TEXT.search(page.text):
        what = f"the character U+{ord(odd.group()):04X} is not text"
        raise Refusal(what, "remove it", page.place(odd.start()))
    if page.text.count("%TAG") > 100:  # the parser compares each with each: minutes for a full file
        raise Refusal("more than 100 %TAG lines", "remove them", page.place(page.text.index("%TAG")))
    data, places, keys = _composed(page, leave_out)
    return Placed(data, _Places(places, page), file, _Places(keys, page), page.text)


def shown(value: object, most: int = 60) -> str:
    """A value as a message may quote it: one line, at most so many characters, nothing unprintable."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, dict):
        text = "keys and values"
    elif isinstance(value, list):
        text = f"a list of {len(value)}"
    else:
        text = "nothing" if value is None else str(value)
    plain = "".join(c if c.isprintable() else _escaped(c) for c in text[: most + 1])
    return plain if len(plain) <= most else plain[: most - 1] + "…"


def _escaped(character: str) -> str:
    return character.encode("unicode_escape", "surrogatepass").decode("ascii")


class _Page(Struct, frozen=True):
    """A file's text, and its offsets as places."""

    text: str
    file: str
    starts: tuple[int, ...]  # offset of each line's first character

    def place(self, offset: int) -> Place:
        # Counted here because the parser also ends lines at U+0085, U+2028 and U+2029; editors do not.
        line = bisect_right(self.starts, offset)
        return Place(self.file, line, offset - self.starts[line - 1] + 1)


def _page(text: str | bytes, file: str) -> _Page:
    size = len(text) if isinstance(text, bytes) else len(text.encode(errors="surrogatepass"))
    if size > BYTES_MOST:
        what = f"this file is larger than {BYTES_MOST // 1_000_000} MB"
        raise Refusal(what, "name the right file", Place(file, 1))
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            # fault.object lacks the byte-order mark that the codec has eaten, fault.start counts in it
            good = fault.object[: fault.start].decode()
            raise Refusal(
                "this file is not UTF-8 text", "save it as UTF-8", _lined(good, file).place(len(good))
            ) from None
    return _lined(text.removeprefix("\ufeff"), file)


def _lined(text: str, file: str) -> _Page:
    return _Page(text, file, (0, *(end.end() for end in _LINE_END.finditer(text))))


class _Places(Mapping[Trail, Place]):
    """Places worked out when somebody asks: of thousands, a run needs a few."""

    def __init__(self, offsets: Mapping[Trail, int], page: _Page) -> None:
        self.offsets = offsets
        self.page = page

    def __getitem__(self, trail: Trail) -> Place:
        return self.page.place(self.offsets[trail])

    def __iter__(self) -> Iterator[Trail]:
        return iter(self.offsets)

    def __len__(self) -> int:
        return len(self.offsets)


_Composed = tuple[dict[str, Json] | list[Json], dict[Trail, int], dict[Trail, int]]


def _composed(page: _Page, leave_out: frozenset[str]) -> _Composed:
    """The one document of a page: its data, the offsets of its values and those of its keys.

    Built from the parser's events, since the parser's own composer follows nesting and aliases
    before anybody can count them.
    """
    import yaml
    from yamlcore import CCoreLoader  # type: ignore[import-untyped]

    loader = CCoreLoader(page.text)
    try:
        composer = _Composer(page, loader, leave_out)
        return composer.document(), composer.places, composer.keys
    except yaml.MarkedYAMLError as fault:
        raise _not_yaml(fault, page) from None
    except yaml.YAMLError as fault:
        what = f"this is not YAML: {shown(str(fault), 120)}"
        raise Refusal(what, "write plain keys and values", page.place(0)) from None
    finally:
        loader.dispose()


def _not_yaml(fault: Any, page: _Page) -> Refusal:
    problem = str(fault.problem or fault.context)
    opened, found = fault.context_mark, fault.problem_mark
    mark = opened if opened and (not found or _OPENED.search(problem)) else found
    offset = min(mark.index, len(page.text)) if mark else 0
    if "nesting depth" in problem:  # the parser's own limit, which it meets before it tells of any node
        return Refusal(_TOO_DEEP, "write it flatter", page.place(offset))
    if "cannot start any token" in problem and page.text[offset : offset + 1] == "\t":
        problem = "found a tab"
    mend = next((say for part, say in _MENDS if part in problem), "check the indentation and the quotes")
    return Refusal(f"this is not YAML: {shown(problem, 120)}", mend, page.place(offset))


class _Anchored(Struct, frozen=True):
    """What a name stands for."""

    value: Json
    written: str | None  # the text of a scalar that can be a key
    nodes: int
    trail: Trail


class _Composer:
    """Events → data and offsets, with the limits kept on the way."""

    def __init__(self, page: _Page, loader: Any, leave_out: frozenset[str]) -> None:
        from yaml import events, nodes

        self.page = page
        self.leave_out = leave_out
        self.next: Callable[[], Any] = loader.get_event
        self.events: Any = events
        self.looks: Callable[[str], str] = lambda text: str(
            loader.resolve(nodes.ScalarNode, text, (True, False))
        )
        self.may_be_more_than_text = frozenset(loader.yaml_implicit_resolvers)  # by first character
        self.places: dict[Trail, int] = {}
        self.keys: dict[Trail, int] = {}
        self.anchors: dict[str, _Anchored | None] = {}  # None: begun and not yet ended
        self.nodes = 0

    def document(self) -> dict[str, Json] | list[Json]:
        self.next()  # the stream's start
        if not isinstance(self.next(), self.events.DocumentStartEvent):
            raise self.empty()
        root = self.node(first := self.next(), ())
        self.next()  # the document's end
        if root is None:
            raise self.empty()
        if not isinstance(root, dict | list):
            what = "this file holds a single value, not keys and values"
            raise self.refusal(what, "write 'key: value' lines", first)
        if not isinstance(event := self.next(), self.events.StreamEndEvent):
            raise self.refusal("a second document starts here", "keep one document in one file", event)
        return root

    def empty(self) -> Refusal:
        return Refusal("this file is empty", "write at least one key and its value", self.page.place(0))

    def refusal(self, what: str, mend: str, event: Any) -> Refusal:
        return Refusal(what, mend, self.page.place(event.start_mark.index))

    def node(self, event: Any, trail: Trail) -> Json:
        self.places[trail] = event.start_mark.index
        if isinstance(event, self.events.ScalarEvent):
            return self.scalar(event)[0]
        if isinstance(event, self.events.AliasEvent):
            meant = self.meant(event)
            self.repeat(meant.value, meant.trail, trail, event)
            return _copied(meant.value)
        name = event.anchor
        if name:
            self.anchors[name] = None
        before = self.nodes
        self.counted(1, event)
        if len(trail) >= DEPTH_MOST:
            raise self.too_deep(event)
        inner = self.pairs(event, trail) if self.is_mapping(event) else self.items(trail)
        if name:
            self.anchors[name] = _Anchored(inner, None, self.nodes - before, trail)
        return inner

    def is_mapping(self, event: Any) -> bool:
        mapping = isinstance(event, self.events.MappingStartEvent)
        if event.tag not in (None, "!", _CORE + ("map" if mapping else "seq")):
            raise self.odd_tag(event)
        return mapping

    def items(self, trail: Trail) -> Json:
        end = self.events.SequenceEndEvent
        inner: list[Json] = []
        while not isinstance(event := self.next(), end):
            inner.append(self.node(event, (*trail, len(inner))))
        return inner

    def pairs(self, start: Any, trail: Trail) -> Json:
        end = self.events.MappingEndEvent
        inner: dict[str, Json] = {}
        while not isinstance(event := self.next(), end):
            name = self.key(event)
            below = (*trail, name)
            if below in self.keys:
                first = self.page.place(self.keys[below]).line
                what = f"the key '{shown(name)}' is written twice (first on line {first})"
                raise self.refusal(what, "keep one of them", event)
            self.keys[below] = event.start_mark.index
            if name in self.leave_out:
                self.pass_over()
                continue
            inner[name] = self.node(self.next(), below)
        return inner

    def pass_over(self) -> None:
        """Leave out the value that comes next."""
        depth = 0
        while True:
            event = self.next()
            depth += isinstance(event, self.events.CollectionStartEvent)
            depth -= isinstance(event, self.events.CollectionEndEvent)
            if depth == 0:
                return

    def key(self, event: Any) -> str:
        value: Json
        if isinstance(event, self.events.ScalarEvent):
            value, written = self.scalar(event)
        elif isinstance(event, self.events.AliasEvent):
            meant = self.meant(event)
            value, written = meant.value, meant.written
        else:
            value, written = ({} if self.is_mapping(event) else []), None
        if written is None:
            said = {dict: "a mapping", list: "a list", type(None): "nothing"}.get(type(value), shown(value))
            raise self.refusal(f"a key is text or a number, not {said}", "put it in quotes", event)
        return written

    def scalar(self, event: Any) -> tuple[bool | int | float | str | None, str | None]:
        """The value, and its text if it can be a key."""
        before = self.nodes
        self.counted(1, event)
        text: str = event.value
        value: bool | int | float | str | None = text
        if event.style == '"' and "\0" in text:  # only there can a character be written as an escape
            raise self.refusal("the text holds the character U+0000", "remove it", event)
        if event.tag not in (None, "!"):
            value = self.tagged(text, event)
        elif event.tag is None and event.implicit[0] and text[:1] in self.may_be_more_than_text:
            value = self.valued(text, self.looks(text), event)
        written = None if value is None or isinstance(value, bool) else text
        if event.anchor:
            self.anchors[event.anchor] = _Anchored(value, written, self.nodes - before, ())
        return value, written

    def tagged(self, text: str, event: Any) -> bool | int | float | str | None:
        looks, tag = self.looks(text), event.tag
        if tag != _CORE + "str" and tag not in _SCALARS:
            raise self.odd_tag(event)
        if tag not in (looks, _CORE + "str") and (looks, tag) != (_CORE + "int", _CORE + "float"):
            raise self.refusal(f"'{shown(text)}' is not what its tag says", "remove the tag", event)
        return self.valued(text, tag, event)

    def valued(self, text: str, tag: str, event: Any) -> bool | int | float | str | None:
        if tag not in _SCALARS:
            return text
        value = _SCALARS[tag](text)
        if isinstance(value, float) and not math.isfinite(value):
            what = f"'{shown(text)}' is not a finite number"
            raise self.refusal(what, "write a number, or put it in quotes if it is text", event)
        if type(value) is int and value not in INTEGERS:
            what = f"the number {shown(text)} is beyond 64 bits"
            raise self.refusal(what, "put it in quotes if it is text", event)
        return value

    def meant(self, event: Any) -> _Anchored:
        name = shown(event.anchor)
        if event.anchor not in self.anchors:
            what = f"nothing before it is named '{name}'"
            raise self.refusal(what, f"write the value, or name one with &{name}", event)
        meant = self.anchors[event.anchor]
        if meant is None:
            raise self.refusal(f"*{name} stands inside what it stands for", "write the value instead", event)
        self.counted(meant.nodes, event)
        return meant

    def repeat(self, value: Json, source: Trail, trail: Trail, event: Any) -> None:
        """Note the places of all that is below an alias: those of what it stands for."""
        if isinstance(value, dict | list) and len(trail) >= DEPTH_MOST:
            raise self.too_deep(event)
        for name, inner in _below(value):
            self.places[(*trail, name)] = self.places[(*source, name)]
            if isinstance(name, str):
                self.keys[(*trail, name)] = self.keys[(*source, name)]
            self.repeat(inner, (*source, name), (*trail, name), event)

    def counted(self, nodes: int, event: Any) -> None:
        self.nodes += nodes
        if self.nodes > NODES_MOST:
            what = f"more than {NODES_MOST:,} keys and values, aliases counted as what they stand for"
            raise self.refusal(what, "write less, or use fewer aliases", event)

    def too_deep(self, event: Any) -> Refusal:
        return self.refusal(_TOO_DEEP, "write it flatter", event)

    def odd_tag(self, event: Any) -> Refusal:
        return self.refusal(f"the tag '{shown(event.tag)}' has no meaning here", "remove the tag", event)


def _below(value: Json) -> Iterable[tuple[str | int, Json]]:
    if isinstance(value, dict):
        return value.items()
    return enumerate(value) if isinstance(value, list) else ()


def _copied(value: Json) -> Json:
    if isinstance(value, dict):
        return {name: _copied(inner) for name, inner in value.items()}
    return [_copied(inner) for inner in value] if isinstance(value, list) else value


def _whole(text: str) -> int:
    """The integer; of more digits than 64 bits can have, one that is beyond them."""
    sign = -1 if text[0] == "-" else 1
    digits = text.lstrip("+-")
    base = {"0o": 8, "0x": 16}.get(digits[:2], 10)
    digits = (digits if base == 10 else digits[2:]).lstrip("0") or "0"
    return sign * (int(digits, base) if len(digits) < 30 else 2**64)


def _real(text: str) -> float:
    """The number; YAML writes a dot before ``inf`` and ``nan``."""
    return float(text.lower().replace(".inf", "inf").replace(".nan", "nan"))


_SCALARS: Mapping[str, Callable[[str], bool | int | float | None]] = {
    _CORE + "null": lambda text: None,
    _CORE + "bool": lambda text: text.lower() == "true",
    _CORE + "int": _whole,
    _CORE + "float": _real,
}
