"""Statements → model, by a dialect. Nothing is dropped in silence."""

from __future__ import annotations

import re
from collections.abc import Collection, Container, Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.extent import Extent
from cfgaudit.dialect.factory import with_factory
from cfgaudit.dialect.form import Gift
from cfgaudit.dialect.private import commented_out, private_lines, private_values
from cfgaudit.dialect.reading import Doubt, Entry, Reading, Repeat
from cfgaudit.dialect.recognise import Recognition
from cfgaudit.dialect.sort import last_wins, sort
from cfgaudit.dump.read import Dump, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf, Model
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Default, Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Value, spoken

CUT_OFF = "the last line has no end and is not understood: the dump may be cut off there, take it again"
MENDS, TAKES_BACK = "cfgaudit mends", "cfgaudit takes back"  # how texts of mends begin, in a remark

_MENDS = re.compile(rf"[ \t]*[#~;]+[ \t]*(?:{MENDS}|{TAKES_BACK})\b")
_SEGMENT = re.compile(r"[A-Za-z0-9_-]{1,60}")


def read_dump(source: Text, recognition: Recognition[Dialect]) -> Reading:
    """Read a dump by the dialect that was recognised, or that the user named."""
    dialect = recognition.dialect.at(recognition.version)
    dump = read_statements(source, dialect.family)
    every: list[Entry] = []
    repeats: list[Repeat] = []
    unknown: list[Statement] = []
    for part in _parts(dump.statements):
        told = sort(dialect, part)
        every += told.entries
        repeats += last_wins(told.entries)[1]
        unknown += told.unknown
    in_force, _ = last_wins(every)
    private = (
        *private_values(every),
        *private_lines(dialect, unknown),
        *commented_out(dialect, dump.statements),
    )
    if unknown and unknown[-1].text[-1:] not in ("\r", "\n"):
        dump = replace(dump, source=replace(source, notes=(*source.notes, CUT_OFF)))
    return _reading(dump, dialect, recognition, in_force, tuple(unknown), tuple(repeats), private)


def _parts(statements: Iterable[Statement]) -> Iterator[list[Statement]]:
    """The dump, then each text of mends that was put below it: those lines are meant to win."""
    part: list[Statement] = []
    for statement in statements:
        if statement.kind is Kind.REMARK and _MENDS.match(statement.text):
            yield part
            part = []
        part.append(statement)
    yield part


def pasted(reading: Reading, text: Text) -> Reading:
    """The configuration after lines were typed, or a file of them loaded, on top of a dump.

    The lines begin outside every scope, wherever the dump ended.
    """
    typed = sort(reading.dialect, read_statements(text, reading.dialect.family).statements)
    return laid_over(reading, typed.entries, typed.unknown)


def laid_over(reading: Reading, entries: Iterable[Entry], unknown: Iterable[Statement] = ()) -> Reading:
    """The configuration with further lines in force, each in place of the one that it overrules."""
    entries, unknown = tuple(entries), tuple(unknown)
    told = [entry for entry in reading.entries if not entry.factory]
    in_force, _ = last_wins([*told, *entries])
    more = (*private_values(entries), *private_lines(reading.dialect, unknown))
    head = reading.dump, reading.dialect, reading.recognition
    private = (*reading.private, *more)
    return _reading(*head, in_force, (*reading.unknown, *unknown), reading.repeats, private)


# Decoding: cells → leaves


class _Told(Struct, frozen=True):
    """What one entry says."""

    leaves: tuple[tuple[Path, Leaf], ...]
    settings: tuple[tuple[str, Leaf], ...]
    doubts: tuple[Doubt, ...]


def _reading(
    dump: Dump,
    dialect: Dialect,
    recognition: Recognition[Dialect],
    in_force: tuple[Entry, ...],
    unknown: tuple[Statement, ...],
    repeats: tuple[Repeat, ...],
    private: tuple[tuple[str, Place], ...],
) -> Reading:
    if recognition.extent is Extent.CHANGED:
        in_force = tuple(with_factory(dialect, in_force))
    default = Default(dialect.name)
    leaves: dict[Path, Leaf] = dict(recognition.header)
    settings: dict[str, Leaf] = {}
    givers: dict[Path, Entry] = {}
    doubts: list[Doubt] = []
    for entry in in_force:
        told = decode(entry, dialect.name)
        leaves |= told.leaves
        settings |= told.settings
        doubts += told.doubts
        givers |= dict.fromkeys((path for path, _ in told.leaves), entry)
    described = {path[:-1] for path in leaves}
    for path, value in dialect.constants.items():
        # a width says nothing about an element that the dump does not have
        if path[0] == "limits" or path[:-1] in described:
            leaves.setdefault(path, Leaf(value, default))
    _check_paths(dialect, leaves)
    return Reading(
        dump,
        recognition,
        dialect,
        Model(leaves, settings),
        in_force,
        unknown,
        tuple(doubts),
        repeats,
        private,
        givers,
    )


def _check_paths(dialect: Dialect, leaves: Collection[Path]) -> None:
    """Refuse a dialect of which one path runs through another's leaf."""
    for path in leaves:
        for end in range(1, len(path)):
            if path[:end] in leaves:
                what = f"the dialect's paths clash: {dotted(path)} runs through {dotted(path[:end])}"
                raise Refusal(what, "give one of them another path", Place(dialect.file, 1, 1))


def decode(entry: Entry, dialect: str) -> _Told:
    """The leaves an entry gives, or the doubts that keep it from giving them."""
    values: dict[str, Value | Fields] = {}
    doubts = []
    for name, text in entry.texts.items():
        cell = entry.form.cells[name]
        try:
            value = values[name] = cell.read(text)
        except Misfit as misfit:
            doubts.append(_doubt(entry, name, misfit.why, misfit.kind))
            continue
        if wrong := cell.outside(value):
            scaled = isinstance(value, int | float) and spoken(value) != text
            said = f"means {spoken(value)} and {wrong}" if scaled else wrong
            doubts.append(_doubt(entry, name, said, "range"))
        if isinstance(value, tuple) and (strange := [str(word) for word in value if nameless(word)]):
            doubts.append(_doubt(entry, name, f"sets {', '.join(strange)}, unknown here", "word"))
    keys = dict(entry.outer) | {
        name: str(value) for name, value in values.items() if entry.form.cells[name].keyable
    }
    empty = _is_empty(entry, keys)
    given = () if empty else tuple(_given(entry, values, keys))
    if (
        not (empty or doubts)
        and len(given) < len(entry.form.gifts)
        and len(entry.outer) == len(entry.scope.cells)
    ):
        odd = (name for gift in entry.form.gifts for name in gift.path.cells if not _is_segment(keys, name))
        doubts += [_doubt(entry, name, "cannot stand in a path", "form") for name in dict.fromkeys(odd)]
    origin = Default(dialect) if entry.factory else None
    return _Told(
        tuple((path, Leaf(value, origin or entry.place_of(gift.cell))) for gift, path, value in given),
        tuple(
            (name, Leaf(entry.texts[cell], origin or entry.place_of(cell)))
            for cell, name in _outside_vocabulary(entry, keys, empty, {gift.cell for gift, _, _ in given})
        ),
        tuple(doubts),
    )


def _given(
    entry: Entry, values: Mapping[str, Value | Fields], keys: Mapping[str, str]
) -> Iterator[tuple[Gift, Path, Value]]:
    """What an entry's cells give to which paths."""
    for gift in entry.form.gifts:
        value = values.get(gift.cell)
        if gift.cell in entry.outer and gift.cell not in entry.form.cells:
            value = entry.scope.cells[gift.cell].codec.parse(entry.outer[gift.cell])
        if isinstance(value, Mapping):
            value = value.get(gift.field)
        if value is not None and all(_is_segment(keys, name) for name in gift.path.cells):
            yield gift, gift.path.fill(keys), value


def _is_segment(keys: Mapping[str, str], name: str) -> bool:
    return _SEGMENT.fullmatch(keys.get(name, "")) is not None


def _is_empty(entry: Entry, keys: Mapping[str, str]) -> bool:
    """Whether a cell that stands in a path says ``none``: a row that is there but unused."""
    return any(keys.get(name) == "none" for gift in entry.form.gifts for name in gift.path.cells)


def _outside_vocabulary(
    entry: Entry, keys: Mapping[str, str], empty: bool, given: Container[str]
) -> Iterator[tuple[str, str]]:
    """Cells that no model path takes, or that could not be read, each with a name for it."""
    if entry.opens:
        return
    gifts = entry.form.gifts
    in_paths = {name for gift in gifts for name in gift.path.cells}
    promised = {gift.cell for gift in gifts} | in_paths | set(entry.form.key)
    free = [name for name in entry.texts if name not in promised]
    for name in entry.texts:
        placed = name in given or name in entry.form.key or (name in in_paths and name in keys)
        if name in free or not (placed or empty):
            alone = entry.form.name or free == [name]
            yield name, entry.label if alone else f"{entry.label} {name}"


def _doubt(entry: Entry, cell: str, why: str, kind: str) -> Doubt:
    return Doubt(entry.place_of(cell), entry.label, entry.texts.get(cell, ""), why, kind)
