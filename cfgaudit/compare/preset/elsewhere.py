"""Lines that this version of the firmware does not know and another one does, and how this one says them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect.counterpart import Floor, NoSeat, floor
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.private import commented_out
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.row import Desk, Unwritable, Wish, line
from cfgaudit.dialect.seat import Seat
from cfgaudit.dialect.setting import is_whole, settings
from cfgaudit.dialect.sort import sort
from cfgaudit.dialect.typed import Fate, Prepared, Session
from cfgaudit.dump.statement import Statement
from cfgaudit.model.version import ordered


class Elsewhere(Struct, frozen=True):
    """A line as another version knows it.

    ``spoken`` is the line that says the same in this version; "" if there is none, and ``why`` says so.
    """

    when: str  # "since 4.2", "before 4.2"
    entry: Entry
    spoken: str = ""
    why: str = ""
    private: bool = False  # whether it holds a value that no report may show, in either version


def typed_here(preset: Prepared) -> tuple[Session, Mapping[int, Elsewhere]]:
    """A preset, typed, and by line what another version knows of that which this one does not know."""
    session = preset.typed()
    unknown = [one.statement.line for one in session.typed if one.fate is Fate.UNKNOWN]
    elsewhere = known_elsewhere(preset.before, session.statements, unknown)
    hidden = {line: there.entry.label for line, there in elsewhere.items() if there.private}
    for _, version in _nearest(preset.before.recognition.dialect, preset.before.recognition.version):
        there = preset.before.recognition.dialect.at(version)
        hidden |= {place.line: name for name, place in commented_out(there, session.statements)}
    return replace(session, private={**session.private, **hidden}), elsewhere


def known_elsewhere(
    before: Reading, statements: Iterable[Statement], unknown: Iterable[int]
) -> Mapping[int, Elsewhere]:
    """Of the unknown lines (by number) those that another version of the firmware knows, the nearest one."""
    open_ones, statements = {*unknown}, tuple(statements)
    found: dict[int, Elsewhere] = {}
    if not open_ones:
        return found
    desk, ground = Desk(before), floor(before)
    for when, version in _nearest(before.recognition.dialect, before.recognition.version):
        there = before.recognition.dialect.at(version)
        for entry in sort(there, statements).entries:
            number = entry.statement.line
            if number in open_ones and number not in found:
                found[number] = _said_here(when, entry, desk, ground)
    return found


def _said_here(when: str, entry: Entry, desk: Desk, ground: Floor) -> Elsewhere:
    wishes: list[Wish] = []
    seats: list[Seat] = []
    doubts: list[str] = []
    for setting in settings(entry.shared_slot, entry, whole=is_whole(entry.form)):
        seat = ground.seat(setting)
        if isinstance(seat, NoSeat):
            continue
        seats.append(seat)
        wishes += seat.wishes(setting.value)
        if setting.doubt:
            doubts.append(
                "its value does not fit" if setting.private else f"{setting.written} {setting.doubt}"
            )
    forms = [entry.form, *(seat.form for seat in seats)]
    private = any(cell.private for form in forms for cell in form.cells.values())
    if not seats:
        return Elsewhere(when, entry, why=f"this version has no line for {entry.label}", private=private)
    if doubts:
        why = f"that version does not take it either: {', '.join(doubts)}"
        return Elsewhere(when, entry, why=why, private=private)
    try:
        return Elsewhere(when, entry, line(desk, seats[0].row(desk.reading, wishes)), private=private)
    except Unwritable as reason:
        return Elsewhere(when, entry, why=str(reason), private=private)


def _nearest(dialect: Dialect, running: str) -> Iterator[tuple[str, str]]:
    """The other versions that write otherwise: how to speak of each, and one of its numbers."""
    points = sorted({*_turning_points(dialect)}, key=ordered)
    spans = [("", points[0] if points else "")] if points else []
    spans += pairwise([*points, ""])
    here = ordered(running)
    later = [(f"since {start}", start) for start, _ in spans if start and ordered(start) > here]
    earlier = [(f"before {end}", start or "0") for start, end in spans if end and ordered(end) <= here]
    if running:
        yield from later
        yield from reversed(earlier)


def _turning_points(dialect: Dialect) -> Iterator[str]:
    for since, _ in (*dialect.renamed, *dialect.moved):
        yield since
    for scope in dialect.scopes:
        for form in scope.all_forms():
            for way in (form, *form.ways):
                yield from filter(None, (way.since, way.until))
