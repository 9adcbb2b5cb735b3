"""What the lessons tell → the data of the dialect's file."""

from __future__ import annotations

import copy
import operator
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from cfgaudit.dialect.cell import CODECS
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.evidence import SO_FAR, Entry
from cfgaudit.dialect.teach.fact import ANY
from cfgaudit.dialect.teach.lesson import Spot, patterned, rows
from cfgaudit.dialect.teach.own import Own
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.settle import Outcome, Status
from cfgaudit.dialect.teach.sketch import Draft
from cfgaudit.dump.read import Dump
from cfgaudit.model.path import Path
from cfgaudit.model.refusal import Refusal

_CODEC_KEYS = frozenset({*CODECS, "written", "none", "quoted"})
_HOLE = re.compile(r"\{[a-z_][a-z0-9_]*\}")
_DIGITS = re.compile(r"[0-9]")


def written(
    data: Mapping[str, Any],
    dialect: Dialect,
    outcomes: Sequence[Outcome],
    dumps: Sequence[Dump],
    broken: Collection[Path] = (),
) -> Draft:
    """The dialect's data with all that the outcomes settle, or that is the same so far.

    ``broken`` are shapes that the dialect reads in another way than the lessons tell.
    """
    draft = Draft(copy.deepcopy(dict(data)))
    chosen = [one for one in outcomes if one.written and _says_something(one.chosen)]
    texts = _texts(dialect, dumps)
    told = {".".join(one.shape) for one in outcomes}
    for outcome in outcomes:
        if not outcome.written and outcome.shape in broken:
            _take_back(draft, outcome)
        for entry in outcome.overruled:
            _overrule(draft, entry, outcome)
    for spot in dict.fromkeys(one.chosen.spot for one in chosen):
        mine = [one for one in chosen if one.chosen.spot == spot]
        node = {} if _is_left(draft, spot, mine) else _place(draft, dialect, spot)
        for cell in dict.fromkeys(one.chosen.cell for one in mine):
            here = [one for one in mine if one.chosen.cell == cell]
            if not all(map(_as_it_was, here)):
                _write_values(draft, node, spot, cell, [one.chosen for one in here], texts, told)
                at = node if spot.kind == "setting" else operator.getitem(*_cell_at(draft, node, spot, cell))
                _mark(at, any(one.status is Status.AGREED for one in here))
        for outcome in mine:
            _write_keys(draft, node, outcome, texts)
        if spot.kind in ("form", "pattern") and "key" in node:
            _mend_key(node)
    return draft


def _is_left(draft: Draft, spot: Spot, mine: Sequence[Outcome]) -> bool:
    """Whether the spot is a setting that versions write differently: it stays as it is.

    Raises Refusal if lessons tell more of it: their dumps may be of any version.
    """
    home = draft.data["scopes"][spot.scope - 1] if spot.scope else draft.data
    if spot.kind != "setting" or not isinstance(home["settings"][spot.name], list):
        return False
    if not all(map(_as_it_was, mine)):
        what = f"the dialect writes {spot.name!r} in one way or another, by the firmware's version"
        raise Refusal(what, "say in its file by hand what the lesson tells of it")
    return True


def _as_it_was(outcome: Outcome) -> bool:
    """Whether the dialect's entry already has all that the lessons tell."""
    return outcome.entry is not None and outcome.entry.reading.coding == outcome.chosen.coding


def _write_keys(
    draft: Draft, node: dict[str, Any], outcome: Outcome, texts: Mapping[tuple[Spot, str], set[str]]
) -> None:
    spot = outcome.chosen.spot
    had = outcome.entry.reading.keys if outcome.entry else ()
    for n, key in enumerate(outcome.chosen.keys):
        if not key.cell or key.rule or key in had:
            continue
        cells, name = _cell_at(draft, node, spot, key.cell)
        spec = key.spec(texts.get((spot, key.cell), set()))
        cells[name] = _specified(draft, cells.get(name), spec, f"{key.cell} of {spot.name}")
        _mark(cells[name], len({one.keys[n].cell for one in outcome.readings}) > 1)


def _mark(spec: dict[str, Any], so_far: bool) -> None:
    """Say in a cell's note whether lessons may change it yet."""
    notes = [one for one in str(spec.get("note", "")).split("; ") if one and one != SO_FAR]
    if so_far:
        notes.append(SO_FAR)
    spec.pop("note", None)
    if notes:
        spec["note"] = "; ".join(notes)


def _overrule(draft: Draft, entry: Entry, outcome: Outcome) -> None:
    """What a draft has guessed and the lessons tell otherwise: the dialect does not say it any more."""
    reading = entry.reading
    if outcome.written and (outcome.chosen.spot, outcome.chosen.cell) == (reading.spot, reading.cell):
        return  # it is written over
    node = _node(draft, reading.spot)
    given = node.get("gives", {})
    if node.get("is") == reading.path:
        del node["is"]
    elif reading.path in given:
        del given[reading.path]
        if not given:
            del node["gives"]
    else:
        return
    draft.notes.append(
        f"{reading.path} is no longer read from {reading.spot.name!r}, the lessons say otherwise"
    )


def _node(draft: Draft, spot: Spot) -> dict[str, Any]:
    """What the data say of a kind of line; nothing if they do not have it."""
    home = draft.data["scopes"][spot.scope - 1] if spot.scope else draft.data
    if spot.kind == "opens":
        found = home
    elif spot.kind == "setting":
        found = home.get("settings", {}).get(spot.name, {})
    else:
        found = next((one for one in home.get("forms", ()) if one["line"] == spot.name), {})
    return found if isinstance(found, dict) else {}


def _take_back(draft: Draft, outcome: Outcome) -> None:
    """What was the same so far and no longer is: the dialect does not say it any more."""
    for spot in dict.fromkeys(one.spot for one in outcome.readings):
        node = _node(draft, spot)
        given = node.get("gives", {})
        for path in [one for one in given if tuple(_HOLE.sub(ANY, one).split(".")) == outcome.shape]:
            draft.notes.append(f"{path} is open again")
            del given[path]
        if "gives" in node and not given:
            del node["gives"]


def _texts(dialect: Dialect, dumps: Sequence[Dump]) -> dict[tuple[Spot, str], set[str]]:
    made: dict[tuple[Spot, str], set[str]] = {}
    for dump in dumps:
        for exact in rows(dialect, dump.statements):
            for row in (exact, patterned(exact)):
                for cell, text in row.cells.items():
                    made.setdefault((row.spot, cell), set()).add(text)
    return made


def _place(draft: Draft, dialect: Dialect, spot: Spot) -> dict[str, Any]:
    """The node of a kind of line in the data; of settings that become one form, that form."""
    home: dict[str, Any] = draft.data["scopes"][spot.scope - 1] if spot.scope else draft.data
    if spot.kind == "opens":
        return home
    if spot.kind == "setting":
        spec = home["settings"][spot.name]
        if isinstance(spec, str):
            spec = home["settings"][spot.name] = {spec: None}
        made: dict[str, Any] = spec
        return made
    if spot.kind == "form":
        return next(one for one in home["forms"] if one["line"] == spot.name)
    line = dialect.assignment.text.replace("{name}", spot.name)
    form: dict[str, Any] = {"line": line, "cells": {}}
    for name in _HOLE.findall(line):
        form["cells"][name[1:-1]] = "text"
    pattern = re.compile(_HOLE.sub("[0-9]+", re.sub(r"[.\[\]/]", r"\\\g<0>", spot.name)))
    for name, spec in list(home.get("settings", {}).items()):
        if not pattern.fullmatch(name):
            continue
        if spec == "text" or spec == {"text": None}:
            del home["settings"][name]
            draft.notes.append(f"the setting {name} is now read by {line!r}")
        else:
            draft.notes.append(f"the setting {name} stays as it is, beside {line!r}")
    if not home.get("settings", True):
        del home["settings"]
    home.setdefault("forms", []).append(form)
    return form


def _cell_at(draft: Draft, node: dict[str, Any], spot: Spot, cell: str) -> tuple[dict[str, Any], str]:
    """The mapping that describes a cell, and its key there."""
    if spot.kind != "setting" and cell in node.get("cells", {}):
        return node["cells"], cell
    return draft.data["scopes"][spot.scope - 1]["cells"], cell


def _write_values(
    draft: Draft,
    node: dict[str, Any],
    spot: Spot,
    cell: str,
    readings: Sequence[Reading],
    texts: Mapping[tuple[Spot, str], set[str]],
    told: Collection[str],
) -> None:
    parts = [one for one in readings if one.parts]
    label = spot.name if spot.kind == "setting" else f"{cell} of {spot.name}"
    if parts:
        had = node if spot.kind == "setting" else operator.getitem(*_cell_at(draft, node, spot, cell))
        kept = _kept_fields(node, had, cell, told)
        spec, sources = _packed(draft, cell, parts, texts.get((spot, cell), set()), had, kept)
        readings = parts
    else:
        spec, sources = readings[0].coding.spec, {readings[0].path: cell}
        sources |= {one.path: cell for one in readings if one.coding.spec == spec}
    if spot.kind == "setting":
        new = _specified(draft, dict(node), spec, label)
        path = next(iter(sources))
        node.clear()
        node.update(({} if parts else {"is": path}) | {k: v for k, v in new.items() if k != "is"})
    else:
        cells, name = _cell_at(draft, node, spot, cell)
        cells[name] = _specified(draft, cells.get(name), spec, label)
    _write_gives(node, spot, sources)


def _write_gives(node: dict[str, Any], spot: Spot, sources: Mapping[str, str]) -> None:
    shapes = {_HOLE.sub(ANY, path) for path in sources}
    if spot.kind == "setting":
        if not any("." in source for source in sources.values()):
            node["is"] = next(iter(sources))
            node.pop("gives", None)
            return
        node.pop("is", None)
    cells = {source.partition(".")[0] for source in sources.values()}
    packed = any("." in source for source in sources.values())
    old = {
        path: source
        for path, source in node.get("gives", {}).items()
        if _HOLE.sub(ANY, path) not in shapes
        # a cell that is packed, or no longer is, gives nothing in the old way
        and not (source.partition(".")[0] in cells and (packed or "." in source))
    }
    node["gives"] = old | dict(sources)


def _kept_fields(node: Mapping[str, Any], had: Any, cell: str, told: Collection[str]) -> dict[str, str]:
    """The fields of a packed cell that no lesson speaks of, and the paths they give."""
    fields = had.get("packed", {}) if isinstance(had, dict) else {}
    given = {source: path for path, source in node.get("gives", {}).items()}
    return {
        name: path
        for name in fields
        if (path := given.get(f"{cell}.{name}", "")) and _HOLE.sub(ANY, path) not in told
    }


def _packed(
    draft: Draft, cell: str, parts: Sequence[Reading], texts: set[str], had: Any, kept: Mapping[str, str]
) -> tuple[dict[str, Any], dict[str, str]]:
    """One number of several fields; bits that are set and that no lesson told of are kept aside."""
    fields: dict[str, Any] = {}
    sources = {}
    taken: set[int] = set()
    base = 16 if isinstance(had, dict) and had.get("written") == "hex" else 10
    for name, path in kept.items():
        fields[name], sources[path] = had["packed"][name], f"{cell}.{name}"
        taken.update(_bits_told(fields[name]["bits"]))
    for n, one in enumerate(parts):
        others = {bit for other in (*parts[:n], *parts[n + 1 :]) for bit in _sure(other)}
        if _sure(one) & taken:
            draft.notes.append(f"{'.'.join(one.shape)} is not written: its bits are another's so far")
            continue
        coding = one.coding
        if isinstance(coding, Field):
            above = [bit for bit in others | taken if bit > coding.least]
            coding = coding.below(min(above, default=coding.most + 1))
        name = coding.field if isinstance(coding, Own) else one.shape[-1]
        fields[name] = had["packed"][name] if isinstance(coding, Own) else coding.spec
        sources[one.path] = f"{cell}.{name}"
        taken.update(_positions(replace(one, coding=coding)))
        base = coding.base if isinstance(coding, Field | Bit | Scattered) else base
    seen = 0
    for text in texts:
        if re.fullmatch(r"0[xX][0-9A-Fa-f]+" if base == 16 else r"[0-9]+", text):
            seen |= int(text, base)
    rest = [bit for bit in range(seen.bit_length()) if seen >> bit & 1 and bit not in taken]
    if rest:
        fields["rest"] = {"bits": ",".join(map(str, rest))}
    return {"packed": fields} | ({"written": "hex"} if base == 16 else {}), sources


def _says_something(reading: Reading) -> bool:
    """Whether a field has a bit yet: of a value that was only ever 0 nothing is known."""
    return not isinstance(reading.coding, Scattered) or bool(reading.coding.positions)


def _sure(reading: Reading) -> set[int]:
    """The bits that a field has in any case."""
    coding = reading.coding
    if isinstance(coding, Field):
        return set(range(coding.low, coding.least + 1))
    return set(_positions(reading))


def _positions(reading: Reading) -> tuple[int, ...]:
    coding = reading.coding
    return coding.positions if isinstance(coding, Field | Bit | Scattered | Own) else ()


def _bits_told(written: str | int) -> set[int]:
    """``"0-3,8"`` → the bits."""
    parts = (part.partition("-") for part in str(written).split(","))
    return {bit for low, _, high in parts for bit in range(int(low), int(high or low) + 1)}


def _specified(draft: Draft, old: Any, spec: Mapping[str, Any], label: str) -> dict[str, Any]:
    """A cell's new spec: the codec learned, the words that the file had besides, the extras as they were."""
    before: dict[str, Any] = {old: None} if isinstance(old, str) else dict(old or {})
    codec = next(name for name in spec if name in CODECS)
    made = {key: value for key, value in before.items() if key not in _CODEC_KEYS}
    learned = dict(spec)
    if codec in ("bits", "words") and isinstance(before.get(codec), dict):
        learned[codec] = dict(_united(draft, before[codec], spec[codec], label))
    if codec == "list" and isinstance(before.get("list"), dict):
        had = before["list"].get("of")
        if isinstance(had, dict) and isinstance(had.get("words"), dict):
            words = dict(_united(draft, had["words"], spec["list"]["of"]["words"], label))
            learned["list"] = {**before["list"], **spec["list"], "of": {**had, "words": words}}
    if codec == "words" and isinstance(before.get("integer"), dict | None) and "integer" in before:
        draft.notes.append(f"{label} was a whole number, and is a word for each now")
    return {**learned, **made}


def _united(
    draft: Draft, old: Mapping[str, Any], new: Mapping[str, Any], label: str
) -> Iterator[tuple[str, Any]]:
    """The words of both; where they disagree, those of the lessons."""
    values = set(map(str, new.values()))
    for text, value in old.items():
        if text in new:
            if new[text] != value:
                draft.notes.append(f"{label}: {text} was {value}, and is {new[text]} by the lessons")
            yield text, new[text]
        elif str(value) in values:
            draft.notes.append(f"{label}: {text} was {value}, which the lessons say of another")
        else:
            yield text, value
    yield from ((text, value) for text, value in new.items() if text not in old)


def _mend_key(form: dict[str, Any]) -> None:
    """A form's key is made of cells that stand in all its paths."""
    paths = [set(re.findall(r"\{([a-z_0-9]+)\}", path)) for path in form.get("gives", {})]
    if any(not set(form["key"]) <= cells for cells in paths):
        form["key"] = [name for name in form["cells"] if all(name in cells for cells in paths)]
