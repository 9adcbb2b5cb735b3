"""When a setting changed, for people at a terminal: newest first, one line a change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from cfgaudit.baseline.history import ANOTHER, ANOTHER_KEY, Event, What
from cfgaudit.baseline.log import Log
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.words import counted

SHORT = 7  # digits of a commit
_MANY = 3  # settings that the first commit of a file may bring before they are only counted
_WIDEST = (20, 32, 40)  # columns of who, what and from what to what
_FILE = {
    What.GONE: "the file was deleted",
    What.UNREADABLE: "this version cannot be read",
}


def history_text(
    asked: str, file: str, since: str, log: Log, events: Sequence[Event], style: Style = PLAIN
) -> Iterator[str]:
    """The changes of what is asked in a file, or all changes since a commit."""
    return map(painter(style), _lines(asked, file, since, log, events))


def _lines(asked: str, file: str, since: str, log: Log, events: Sequence[Event]) -> Iterator[Line]:
    changes = sum(event.what is What.CHANGED for event in events)
    number = counted(changes, "change") if changes else "no changes"
    commits = counted(len({one.commit.id for one in log.versions if one.commit.id}), "commit")
    span = f" since {since}" if since else ""
    yield (("strong", f"{asked or 'all settings'} in {file}: {number}{span}"), ("quiet", f" · {commits}"))
    rows = list(_rows(events))
    longest = [max((len(safe(row[n])) for row in rows), default=0) for n in (2, 3, 4)]
    widths = [*map(min, _WIDEST, longest)]
    for when, commit, who, name, text, why in rows:
        cells = (f"{safe(cell):<{width}}" for cell, width in zip((who, name, text), widths, strict=True))
        body = "  ".join((*cells, safe(why))).rstrip()
        yield (("quiet", f"{when:<10}  {commit:<{SHORT}}  "), ("plain", body))
    if log.cut:
        yield (("quiet", "This clone is shallow: what was before its oldest commits is not in it."),)


_Row = tuple[str, str, str, str, str, str]


def _rows(events: Sequence[Event]) -> Iterator[_Row]:
    for _, group in groupby(events, key=lambda event: (event.commit.id, event.commit.subject, event.what)):
        told = [*group]
        first = told[0]
        if first.what in (What.FIRST, What.OLDEST) and len(told) > _MANY:
            text = f"{counted(len(told), 'setting')}, {_BEGAN[first.what]}"
            yield (*_head(first), "all of it", text, _why(first))
        else:
            for event in told:
                yield (*_head(event), event.name, text_of(event), _why(event))


_BEGAN = {What.FIRST: "first recorded", What.OLDEST: "as in the oldest commit here"}


def text_of(event: Event) -> str:
    """What happened, in words."""
    if event.what is What.UNREADABLE:
        return f"{_FILE[event.what]}: {event.after.partition(':')[0]}"
    if event.what in _FILE:
        return _FILE[event.what]
    if event.what in _BEGAN:
        return f"{event.after}, {_BEGAN[event.what]}"
    if event.after in (ANOTHER, ANOTHER_KEY):
        return event.after
    number, _, unit = event.before.partition(" ")
    same_unit = bool(unit) and event.after.endswith(f" {unit}") and number[-1:].isdigit()
    return f"{number if same_unit else event.before} → {event.after}"


def _head(event: Event) -> tuple[str, str, str]:
    commit = event.commit
    return commit.when[:10], commit.id[:SHORT], commit.who


def _why(event: Event) -> str:
    return event.note or event.commit.subject
