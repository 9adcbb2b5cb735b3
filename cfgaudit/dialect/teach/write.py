"""What the lessons tell → the data of the dialect's file."""

from __future__ import annotations

import copy
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from cfgaudit.dialect.cell import CODECS
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.teach.fact import ANY
from cfgaudit.dialect.teach.lesson import Changed, Spot, patterned, rows
from cfgaudit.dialect.teach.packed import Bit, Field, Scattered
from cfgaudit.dialect.teach.reading import Reading
from cfgaudit.dialect.teach.settle import Outcome
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.path import Path

_CODEC_KEYS = frozenset({*CODECS, "written", "none", "quoted"})
_HOLE = re.compile(r"\{[a-z_][a-z0-9_]*\}")
_DIGITS = re.compile(r"[0-9]")


class Draft(Struct, frozen=True):
    """The data of a dialect as they shall be, and what is to be said of them."""

    data: dict[str, Any]
    notes: list[str] = field(default_factory=list)


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
    chosen = [one.chosen for one in outcomes if one.written and _says_something(one.chosen)]
    texts = _texts(dialect, dumps)
    for outcome in outcomes:
        if not outcome.written and outcome.shape in broken:
            _take_back(draft, outcome)
    for spot in dict.fromkeys(one.spot for one in chosen):
        mine = [one for one in chosen if one.spot == spot]
        node = _place(draft, dialect, spot)
        for cell in dict.fromkeys(one.cell for one in mine):
            _write_values(draft, node, spot, cell, [one for one in mine if one.cell == cell], texts)
        for reading in mine:
            for key in reading.keys:
                if key.cell:
                    at = _cell_at(draft, node, spot, key.cell)
                    spec = key.spec(texts.get((spot, key.cell), set()))
                    at[1][at[0]] = _specified(draft, at[1].get(at[0]), spec, f"{key.cell} of {spot.name}")
        if spot.kind in ("form", "pattern") and "key" in node:
            _mend_key(node)
    return draft


def _take_back(draft: Draft, outcome: Outcome) -> None:
    """What was the same so far and no longer is: the dialect does not say it any more."""
    for spot in dict.fromkeys(one.spot for one in outcome.readings):
        home = draft.data["scopes"][spot.scope - 1] if spot.scope else draft.data
        if spot.kind == "setting":
            node = home["settings"].get(spot.name, {})
        else:
            node = next((one for one in home.get("forms", ()) if one["line"] == spot.name), {})
        given = node.get("gives", {}) if isinstance(node, dict) else {}
        for path in [one for one in given if tuple(_HOLE.sub(ANY, one).split(".")) == outcome.shape]:
            draft.notes.append(f"{path} is open again")
            del given[path]
        if isinstance(node, dict) and "gives" in node and not given:
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


def _cell_at(draft: Draft, node: dict[str, Any], spot: Spot, cell: str) -> tuple[str, dict[str, Any]]:
    """The mapping that describes a cell, and its key there."""
    if spot.kind != "setting" and cell in node.get("cells", {}):
        return cell, node["cells"]
    return cell, draft.data["scopes"][spot.scope - 1]["cells"]


def _write_values(
    draft: Draft,
    node: dict[str, Any],
    spot: Spot,
    cell: str,
    readings: Sequence[Reading],
    texts: Mapping[tuple[Spot, str], set[str]],
) -> None:
    parts = [one for one in readings if isinstance(one.coding, Field | Bit | Scattered)]
    label = spot.name if spot.kind == "setting" else f"{cell} of {spot.name}"
    if parts:
        spec, sources = _packed(draft, cell, parts, texts.get((spot, cell), set()))
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
        name, cells = _cell_at(draft, node, spot, cell)
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


def _packed(
    draft: Draft, cell: str, parts: Sequence[Reading], texts: set[str]
) -> tuple[dict[str, Any], dict[str, str]]:
    """One number of several fields; bits that are set and that no lesson told of are kept aside."""
    fields: dict[str, Any] = {}
    sources = {}
    taken: set[int] = set()
    base = 10
    for n, one in enumerate(parts):
        others = {bit for other in (*parts[:n], *parts[n + 1 :]) for bit in _sure(other)}
        if _sure(one) & taken:
            draft.notes.append(f"{'.'.join(one.shape)} is not written: its bits are another's so far")
            continue
        coding = one.coding
        if isinstance(coding, Field):
            above = [bit for bit in others | taken if bit > coding.least]
            coding = coding.below(min(above, default=coding.most + 1))
        name = one.shape[-1]
        fields[name] = coding.spec
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
    return coding.positions if isinstance(coding, Field | Bit | Scattered) else ()


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


# Lines that the dialect has no form for


def sketched(
    data: Mapping[str, Any], dialect: Dialect, lines: Sequence[Changed], dumps: Sequence[Dump]
) -> Draft:
    """The dialect's data with a form or a setting for each changed line that it does not know."""
    draft = Draft(copy.deepcopy(dict(data)))
    for changed in lines:
        text = changed.after or changed.before
        typed = Text("", f"{text}\n", "utf-8", mark=False)
        statement = read_statements(typed, dialect.family).statements[0]
        home = _home(draft, dialect, changed.under, dumps)
        name = _setting_name(dialect, statement)
        if name:
            home.setdefault("settings", {}).setdefault(name, {"text": None})
            draft.notes.append(f"new setting {name}")
        elif statement.words and statement.kind is not Kind.STRAY:
            form = _row(statement, [s for dump in dumps for s in dump.statements])
            forms = home.setdefault("forms", [])
            if all(one["line"] != form["line"] for one in forms):
                forms.append(form)
                draft.notes.append(f"new form {form['line']!r}")
    return draft


def _setting_name(dialect: Dialect, statement: Statement) -> str:
    words = statement.words
    at = dialect.name_word
    fixed = [word.text for word in dialect.assignment.words]
    if statement.kind is not Kind.ASSIGNMENT or len(words) <= at or len(words) < len(fixed):
        return ""
    same = all(a == b for a, b in zip(words, fixed, strict=False) if not b.startswith("{"))
    return words[at] if same and re.fullmatch(r"[A-Za-z_][A-Za-z0-9_./\[\]-]*", words[at]) else ""


def _home(draft: Draft, dialect: Dialect, under: str, dumps: Sequence[Dump]) -> dict[str, Any]:
    """The part of the file that the lines under a section belong to, made if it is not there."""
    if dialect.family != "sectioned" or not under:
        return draft.data
    section = under.strip()[1:-1].split()
    opens = [re.sub(r"[0-9]+", "#", word) for word in section]
    names = iter(("n", "m", "k", "l"))
    line = " ".join(
        re.sub(r"[0-9]+", lambda _: f"{{{next(names)}}}", word, count=1) if "#" in shape else word
        for word, shape in zip(section, opens, strict=True)
    )
    scopes: list[dict[str, Any]] = draft.data.setdefault("scopes", [])
    for n, scope in enumerate(dialect.scopes[1:]):
        fits = scope.opens and len(scope.opens.words) == len(section)
        if fits and all(
            word.match(text) is not None
            for word, text in zip(scope.opens.words if scope.opens else (), section, strict=True)
        ):
            return scopes[n]
    for one in scopes:
        if one["opens"] == line:
            return one
    made: dict[str, Any] = {"opens": line}
    cells = {name[1:-1]: {"text": None} for name in _HOLE.findall(line)}
    scopes.append(made | ({"cells": cells} if cells else {}))
    return scopes[-1]


def _row(statement: Statement, others: Sequence[Statement]) -> dict[str, Any]:
    """A form from the lines with the same first word: what is the same in all is fixed, the rest cells."""
    words = statement.words
    alike = [
        one.words for one in others if one.words[:1] == words[:1] and one.section == statement.section
    ] or [words]
    alike = [*alike, words]
    least, most = min(map(len, alike)), max(map(len, alike))
    parts, cells = [words[0]], {}
    for n in range(1, least):
        texts = {one[n] for one in alike}
        if len(texts) == 1 and (not _DIGITS.search(words[n]) or words[n] in ("=", ":=")):
            parts.append(words[n])
        else:
            cells[f"c{n}"] = {"text": None}
            parts.append(f"{{c{n}}}")
    if most > least:
        cells["rest"] = {"text": None}
        parts.append("{rest...}")
    return {"line": " ".join(parts), **({"cells": cells} if cells else {})}
