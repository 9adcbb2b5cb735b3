"""Amending: new data into the text of a YAML file, leaving the rest of the text as it is.

The text is changed only where the data differ: a pair is set behind the last of its mapping, an
entry behind the last of its list, a value in the place of the old one. Remarks and layout of all
else stay. What cannot be done without losing a remark is refused.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from cfgaudit.model.placed import read_yaml
from cfgaudit.model.refusal import Refusal

WIDEST = 100  # characters of a line that is written in one

_PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_./+-]*(?: [A-Za-z0-9_./+-]+)*")
_INTEGER = re.compile(r"0|[1-9][0-9]*")
_NOT_TEXT = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})
_REMARK = re.compile(r"(?:^|\s)#", re.MULTILINE)
_NOTE = re.compile(r"(?:^|(?<=\s))#.*", re.MULTILINE)
_ANCHOR = re.compile(r"(?:[&!][^\s]*\s+)+")
_ALIAS = re.compile(r"\*[^\s,\]}]+")


def amended(text: str, file: str, wanted: Mapping[str, Any]) -> str:
    """The text with the wanted data. Raises Refusal if it cannot be changed so."""
    now = read_yaml(text, file).data
    if now == wanted:
        return text
    edits = sorted(_edits(text, _tree(text), now, wanted), key=lambda one: (one.start, one.end))
    for edit in edits[::-1]:  # not sorted backwards: of what is set in at one place the inner comes first
        text = text[: edit.start] + edit.text + text[edit.end :]
    try:
        changed = read_yaml(text, file).data == wanted
    except Refusal:
        changed = False
    if not changed:
        what = "this file's layout does not allow setting in what was learned"
        raise Refusal(what, "write its forms without anchors, each key on a line of its own")
    return text


# Where the parts of the text are


class _Node(Struct, frozen=True):
    """A value in the text: from ``start`` to ``end``, without its anchor."""

    kind: str  # "scalar", "mapping", "sequence" or "alias"
    start: int
    end: int
    flow: bool = False
    pairs: tuple[tuple[str, _Node, _Node], ...] = ()  # key, its node, its value's
    items: tuple[_Node, ...] = ()


def _tree(text: str) -> _Node:
    import yaml

    events = yaml.parse(text, Loader=yaml.CSafeLoader)
    for event in events:
        if isinstance(event, yaml.DocumentStartEvent):
            break
    return _node(text, next(events), events)


def _node(text: str, event: Any, events: Iterator[Any]) -> _Node:
    import yaml

    start, end = event.start_mark.index, event.end_mark.index
    if isinstance(event, yaml.AliasEvent):
        return _Node("alias", start, end)
    if getattr(event, "anchor", None) and (found := _ANCHOR.match(text, start)):
        start = found.end()
    if isinstance(event, yaml.ScalarEvent):
        return _Node("scalar", start, max(start, end))
    flow = bool(event.flow_style)
    if isinstance(event, yaml.SequenceStartEvent):
        items = []
        while not isinstance(inner := next(events), yaml.SequenceEndEvent):
            items.append(_node(text, inner, events))
        end = _end(inner) if flow or not items else items[-1].end
        return _Node("sequence", start, end, flow, items=tuple(items))
    pairs = []
    while not isinstance(inner := next(events), yaml.MappingEndEvent):
        key = _node(text, inner, events)
        pairs.append((str(getattr(inner, "value", "")), key, _node(text, next(events), events)))
    end = _end(inner) if flow or not pairs else max(pairs[-1][1].end + 1, pairs[-1][2].end)
    return _Node("mapping", start, end, flow, pairs=tuple(pairs))


def _end(event: Any) -> int:
    return int(event.end_mark.index)


# What is changed


class _Edit(Struct, frozen=True):
    start: int
    end: int
    text: str


def _edits(text: str, node: _Node, now: Any, wanted: Any) -> Iterator[_Edit]:
    if now == wanted:
        return
    if node.kind == "mapping" and isinstance(wanted, Mapping) and wanted:
        gone = [key for key, _, _ in node.pairs if key not in wanted]
        if not gone:
            yield from _pairs(text, node, now, wanted)
            return
        if not node.flow and all(_own_line(text, key.start) for name, key, _ in node.pairs if name in gone):
            yield from _instead(text, node, now, wanted, gone)
            return
    if node.kind == "sequence" and isinstance(wanted, list) and 0 < len(node.items) <= len(wanted):
        for item, old, new in zip(node.items, now, wanted, strict=False):
            yield from _edits(text, item, old, new)
        if len(wanted) > len(now):
            yield from _items(text, node, wanted[len(now) :])
        return
    yield _replaced(text, node, wanted)


def _instead(
    text: str, node: _Node, now: Mapping[str, Any], wanted: Mapping[str, Any], gone: Sequence[str]
) -> Iterator[_Edit]:
    """A block mapping of which some pairs go: the new ones, and all remarks, stand where the first was."""
    indent = _column(text, node.pairs[0][1].start)
    lines = list(block({name: value for name, value in wanted.items() if name not in now}, indent))
    spans = []
    for name, key, value in node.pairs:
        if name in gone:
            first = text.rfind("\n", 0, key.start) + 1
            last = min(len(text), _line_end(text, max(key.end, value.end)) + 1)
            spans.append((first, last))
            lines[:0] = [" " * indent + found[0].strip() for found in _NOTE.finditer(text[first:last])]
        else:
            yield from _edits(text, value, now[name], wanted[name])
    for n, (first, last) in enumerate(spans):
        yield _Edit(first, last, "" if n else "".join(f"{line}\n" for line in lines))


def _pairs(text: str, node: _Node, now: Mapping[str, Any], wanted: Mapping[str, Any]) -> Iterator[_Edit]:
    for name, _, value in node.pairs:
        if name in wanted:
            yield from _edits(text, value, now[name], wanted[name])
    new = {name: value for name, value in wanted.items() if name not in now}
    if not new:
        return
    if node.flow:
        last = max(node.pairs[-1][1].end + 1, node.pairs[-1][2].end) if node.pairs else node.start + 1
        yield _Edit(last, last, (", " if node.pairs else "") + flow(new)[1:-1])
        return
    indent = _column(text, node.pairs[0][1].start)
    at = _line_end(text, node.end)
    yield _Edit(at, at, "".join(f"\n{line}" for line in block(new, indent)))


def _items(text: str, node: _Node, new: Sequence[Any]) -> Iterator[_Edit]:
    if node.flow:
        yield _Edit(node.items[-1].end, node.items[-1].end, "".join(f", {flow(one)}" for one in new))
        return
    indent = _column(text, node.start)
    at = _line_end(text, node.end)
    yield _Edit(at, at, "".join(f"\n{line}" for line in block(list(new), indent)))


def _replaced(text: str, node: _Node, wanted: Any) -> _Edit:
    end = node.end
    if node.kind == "alias" and (found := _ALIAS.match(text, node.start)):
        end = found.end()
    _kept(text[node.start : end] if node.kind != "scalar" else "")
    written = flow(wanted)
    if node.start == node.end and text[node.start - 1 : node.start] == ":":
        written = f" {written}"
    if text[end : end + 1] not in ("", "\n", "\r", " ", ",", "}", "]"):
        written += " "
    return _Edit(node.start, end, written)


def _kept(lost: str) -> None:
    if _REMARK.search(lost):
        what = "setting in what was learned would lose the remark in " + repr(lost.strip().splitlines()[0])
        raise Refusal(what, "set the remark above or below what it speaks of")


def _own_line(text: str, at: int) -> bool:
    return not text[text.rfind("\n", 0, at) + 1 : at].strip()


def _line_end(text: str, at: int) -> int:
    end = text.find("\n", at)
    end = len(text) if end < 0 else end
    return end - 1 if end and text[end - 1] == "\r" else end


def _column(text: str, at: int) -> int:
    return at - (text.rfind("\n", 0, at) + 1)


# How data are written


def flow(data: Any) -> str:
    """Data in one line."""
    if isinstance(data, Mapping):
        return "{" + ", ".join(f"{_scalar(key, True)}: {flow(value)}" for key, value in data.items()) + "}"
    if isinstance(data, list | tuple):
        return "[" + ", ".join(map(flow, data)) + "]"
    return _scalar(data)


def block(data: Any, indent: int) -> Iterator[str]:
    """Data over several lines, what is short in one."""
    blank = " " * indent
    if isinstance(data, Mapping):
        for key, value in data.items():
            head = f"{blank}{_scalar(key, True)}:"
            written = flow(value)
            if isinstance(value, Mapping | list) and value and len(head) + len(written) > WIDEST:
                yield head
                yield from block(value, indent + 2)
            else:
                yield f"{head} {written}".rstrip()
        return
    for one in data:
        if isinstance(one, Mapping) and len(flow(one)) + indent + 2 > WIDEST:
            lines = list(block(one, indent + 2))
            yield f"{blank}- {lines[0].strip()}"
            yield from lines[1:]
        else:
            yield f"{blank}- {flow(one)}"


def _scalar(value: Any, key: bool = False) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return repr(value)
    if key and _INTEGER.fullmatch(value):
        return value
    if _PLAIN.fullmatch(value) and value.lower() not in _NOT_TEXT:
        return value
    return json.dumps(value, ensure_ascii=False)
