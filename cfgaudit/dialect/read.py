"""Statements → model, by a dialect. Nothing is dropped in silence."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.reading import Doubt, Entry, Reading, Repeat
from cfgaudit.dialect.recognise import Recognition
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path
from cfgaudit.model.place import Default, Origin, Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Value

_SEGMENT = re.compile(r"[A-Za-z0-9_-]{1,60}")


def read_dump(source: Text, recognition: Recognition) -> Reading:
    """Read a dump by the dialect that was recognised, or that the user named."""
    dialect = recognition.dialect.at(recognition.version)
    return _read(read_statements(source, dialect.family), dialect, recognition, ())


def pasted(reading: Reading, text: Text) -> Reading:
    """The configuration after lines were typed, or a file of them loaded, on top of a dump.

    The lines begin outside every scope, wherever the dump ended.
    """
    more = read_statements(text, reading.dialect.family).statements
    return _read(reading.dump, reading.dialect, reading.recognition, more)


def _read(dump: Dump, dialect: Dialect, recognition: Recognition, more: tuple[Statement, ...]) -> Reading:
    told, typed = sort(dialect, dump.statements), sort(dialect, more)
    in_force, repeats = last_wins(told.entries)
    if typed.entries:
        in_force, _ = last_wins([*in_force, *typed.entries])
    if recognition.extent is Extent.CHANGED:
        in_force = tuple(_with_factory(dialect, in_force))
    unknown = (*told.unknown, *typed.unknown)
    return _reading(dump, dialect, recognition, in_force, unknown, repeats)


# Sorting: which form each line fits, in which scope


@dataclass(frozen=True, slots=True)
class Sorting:
    """Lines by what the dialect makes of them."""

    entries: list[Entry] = field(default_factory=list)
    unknown: list[Statement] = field(default_factory=list)


def sort(dialect: Dialect, statements: tuple[Statement, ...], factory: bool = False) -> Sorting:
    """Match every line to a form; selector and section lines set the scope of the lines after them."""
    made = Sorting()
    outside = dialect.scopes[0]
    name_word = [word.text for word in dialect.assignment.words].index("{name}")
    scope: Scope | None = outside
    outer: dict[str, str] = {}
    for statement in statements:
        if statement.kind in (Kind.BLANK, Kind.REMARK):
            continue
        opened = _opened(dialect, statement)
        if opened:
            made.entries.append(opened)
            scope, outer = opened.scope, dict(opened.outer)
            continue
        if statement.kind is Kind.SECTION:
            scope, outer = None, {}
            made.unknown.append(statement)
            continue
        entry = None
        if statement.kind is not Kind.STRAY:
            entry = _entry(scope, outer, statement, name_word, factory) if scope else None
            if entry is None and dialect.family != "sectioned":
                entry = _entry(outside, {}, statement, name_word, factory)
        if entry:
            made.entries.append(entry)
        else:
            made.unknown.append(statement)
    return made


def _entry(
    scope: Scope, outer: Mapping[str, str], statement: Statement, name_word: int, factory: bool
) -> Entry | None:
    found = scope.match(statement, name_word)
    if found is None:
        return None
    form, cells = found
    return Entry(statement, scope, form, outer, cells.texts, cells.words, factory)


def _opened(dialect: Dialect, statement: Statement) -> Entry | None:
    """The entry of a line that opens a scope."""
    if (statement.kind is Kind.SECTION) != (dialect.family == "sectioned"):
        return None
    for scope in dialect.scopes[1:]:
        found = scope.opens.match(statement) if scope.opens else None
        if found and scope.form:
            outer = {name: _key(scope.form, name, text) for name, text in found.texts.items()}
            return Entry(statement, scope, scope.form, outer, found.texts, found.words)
    return None


def _key(form: Form, cell: str, text: str) -> str:
    """A cell as a path segment; one that cannot be read stands as written, and is doubted later."""
    try:
        value = form.cells[cell].codec.read(text)
    except Misfit:
        return text
    return str(value)


# The last of several lines for one setting wins


def identity(entry: Entry) -> tuple[object, ...]:
    """What makes two lines the same setting: form, scope and key, never the place in the file."""
    if entry.form is entry.scope.form:
        return (id(entry.form),)
    keys = tuple(_key(entry.form, name, entry.texts[name]) for name in entry.form.key)
    return (id(entry.form), tuple(entry.outer.items()), keys)


def last_wins(entries: list[Entry]) -> tuple[tuple[Entry, ...], tuple[Repeat, ...]]:
    """The entries in force, in the order of the file, and the lines that came to nothing."""
    in_force: dict[tuple[object, ...], Entry] = {}
    repeats = []
    for entry in entries:
        key = identity(entry)
        earlier = in_force.pop(key, None)
        if earlier and earlier.texts != entry.texts and entry.form is not entry.scope.form:
            repeats.append(Repeat(earlier.statement, entry.statement))
        in_force[key] = entry
    return tuple(in_force.values()), tuple(repeats)


def _with_factory(dialect: Dialect, in_force: tuple[Entry, ...]) -> Iterator[Entry]:
    """The defaults that a changed-only dump leaves out, then the dump's own entries."""
    told = {identity(entry) for entry in in_force}
    # scopes that stand for one thing each are there even if the dump never opens them
    scopes = [(scope, {}) for scope in dialect.scopes if not scope.cells]
    scopes += [
        (entry.scope, entry.outer) for entry in in_force if entry.form is entry.scope.form and entry.outer
    ]
    for scope, outer in scopes:
        for entry in factory_entries(dialect, scope, outer):
            if identity(entry) not in told:
                told.add(identity(entry))
                yield entry
    yield from in_force


def factory_entries(dialect: Dialect, scope: Scope, outer: Mapping[str, str]) -> Iterator[Entry]:
    """The lines that would stand in a full dump of an untouched firmware, in one scope."""
    name_word = [word.text for word in dialect.assignment.words].index("{name}")
    for statement in _factory_statements(dialect, scope):
        entry = _entry(scope, outer, statement, name_word, factory=True)
        if entry:
            yield entry


def _factory_statements(dialect: Dialect, scope: Scope) -> tuple[Statement, ...]:
    rows = [line for form in scope.forms for line in form.factory]
    for setting in scope.settings.values():
        cell = setting.cells["value"]
        if isinstance(cell.default, bool | int | float | str | tuple):
            rows.append(setting.line.render({"value": cell.codec.write(cell.default)}))
    text = Text(dialect.file, "\n".join(rows), "utf-8", mark=False)
    return read_statements(text, dialect.family).statements


# Decoding: cells → leaves


@dataclass(frozen=True, slots=True)
class _Told:
    """What one entry says."""

    leaves: tuple[tuple[Path, Leaf], ...]
    settings: tuple[tuple[str, Leaf], ...]
    doubts: tuple[Doubt, ...]
    private: tuple[tuple[str, Place], ...]


def _reading(
    dump: Dump,
    dialect: Dialect,
    recognition: Recognition,
    in_force: tuple[Entry, ...],
    unknown: tuple[Statement, ...],
    repeats: tuple[Repeat, ...],
) -> Reading:
    default = Default(dialect.name)
    leaves: dict[Path, Leaf] = dict(recognition.header)
    settings: dict[str, Leaf] = {}
    givers: dict[Path, Entry] = {}
    doubts: list[Doubt] = []
    private: list[tuple[str, Place]] = []
    for entry in in_force:
        told = decode(entry, dialect.name)
        leaves |= told.leaves
        settings |= told.settings
        doubts += told.doubts
        private += told.private
        givers |= dict.fromkeys((path for path, _ in told.leaves), entry)
    described = {path[:-1] for path in leaves}
    for path, value in dialect.constants.items():
        # a width says nothing about an element that the dump does not have
        if path[0] == "limits" or path[:-1] in described:
            leaves.setdefault(path, Leaf(value, default))
    model = Model(leaves, settings)
    try:
        model.tree  # noqa: B018  # built now, while a fault can still be laid at the dialect's door
    except ValueError as error:
        raise Refusal(f"the dialect's paths clash: {error}", "mend it", Place(dialect.file, 1, 1)) from None
    return Reading(
        dump, recognition, dialect, model, in_force, unknown, tuple(doubts), repeats, tuple(private), givers
    )


def decode(entry: Entry, dialect: str) -> _Told:
    """The leaves an entry gives, or the doubts that keep it from giving them."""
    values: dict[str, Value | Fields] = {}
    doubts = []
    for name, text in entry.texts.items():
        cell = entry.form.cells[name]
        try:
            value = values[name] = cell.codec.read(text)
        except Misfit as misfit:
            doubts.append(_doubt(entry, name, misfit.why, misfit.kind))
            continue
        for one in value.values() if isinstance(value, Mapping) else (value,):
            if wrong := cell.outside(one):
                doubts.append(_doubt(entry, name, wrong, "range"))
            elif isinstance(one, tuple) and (strange := [w for w in one if _is_strange(w)]):
                doubts.append(_doubt(entry, name, f"sets {', '.join(strange)}, unknown here", "word"))
    leaves = tuple(_leaves(entry, values, dialect))
    if len(leaves) < len(entry.form.gifts) and not doubts and not _is_empty(entry, values):
        doubts.append(
            _doubt(entry, entry.form.key[0] if entry.form.key else "value", "names no path", "form")
        )
    return _Told(
        leaves,
        tuple(_outside_vocabulary(entry, values, dialect)) if not _is_opening(entry) else (),
        tuple(doubts),
        tuple(
            (label(entry), entry.place_of(name))
            for name in entry.texts
            if entry.form.cells[name].private and entry.texts[name] and not entry.factory
        ),
    )


def _leaves(entry: Entry, values: Mapping[str, Value | Fields], dialect: str) -> Iterator[tuple[Path, Leaf]]:
    if _is_empty(entry, values):
        return
    keys = dict(entry.outer) | {
        name: str(value) for name, value in values.items() if not isinstance(value, Mapping | tuple)
    }
    for gift in entry.form.gifts:
        value = values.get(gift.cell)
        if gift.field and isinstance(value, Mapping):
            value = value.get(gift.field)
        if gift.cell in entry.outer and gift.cell not in values:
            value = entry.outer[gift.cell]
        if value is None or isinstance(value, Mapping):
            continue
        if all(_SEGMENT.fullmatch(keys.get(name, "")) for name in gift.path.cells):
            origin: Origin = Default(dialect) if entry.factory else entry.place_of(gift.cell)
            yield gift.path.fill(keys), Leaf(value, origin)


def _is_empty(entry: Entry, values: Mapping[str, Value | Fields]) -> bool:
    """Whether a cell that stands in a path says ``none``: a row that is there but unused."""
    return any(values.get(name) == "none" for gift in entry.form.gifts for name in gift.path.cells)


def _is_opening(entry: Entry) -> bool:
    return entry.form is entry.scope.form


def _is_strange(word: object) -> bool:
    return isinstance(word, str) and word.startswith("bit") and word[3:].isdigit()


def _outside_vocabulary(
    entry: Entry, values: Mapping[str, Value | Fields], dialect: str
) -> Iterator[tuple[str, Leaf]]:
    """Cells that no model path takes, and those that could not be read, by a name and as text."""
    placed = {gift.cell for gift in entry.form.gifts if gift.cell in values} | set(entry.form.key)
    placed |= {name for gift in entry.form.gifts for name in gift.path.cells}
    loose = [name for name in entry.texts if name not in placed]
    for name in loose:
        origin: Origin = Default(dialect) if entry.factory else entry.place_of(name)
        suffix = "" if entry.form.name or len(loose) == 1 else f" {name}"
        yield f"{label(entry)}{suffix}", Leaf(entry.texts[name], origin)


def label(entry: Entry) -> str:
    """How people call the setting of a line: its scope, then its name or its keyword and key."""
    scope = f"{entry.scope.opens.render(entry.outer)} / " if entry.scope.opens else ""
    if _is_opening(entry):
        return entry.scope.opens.render(entry.outer) if entry.scope.opens else ""
    if entry.form.name:
        return scope + entry.form.name
    keys = [entry.texts[name] for name in entry.form.key]
    return scope + " ".join([entry.form.line.keyword, *keys]).strip()


def _doubt(entry: Entry, cell: str, why: str, kind: str) -> Doubt:
    return Doubt(entry.place_of(cell), label(entry), entry.texts.get(cell, ""), why, kind)
