"""When a setting changed, as plain data."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.baseline.history import Event
from cfgaudit.baseline.log import Log
from cfgaudit.model.path import dotted
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import report_of
from cfgaudit.report.baseline.history import text_of


def history_json(
    tool_version: str, asked: str, file: str, since: str, log: Log, events: Sequence[Event]
) -> Json:
    """The changes of what is asked in a file, newest first; ``asked`` and ``since`` are "" if not given."""
    return report_of(
        "history",
        tool_version,
        {
            "asked": asked,
            "file": file,
            "since": since,
            "commits": len({one.commit.id for one in log.versions if one.commit.id}),
            "shallow": bool(log.cut),
            "events": [_event(event) for event in events],
        },
    )


def _event(event: Event) -> Json:
    commit = event.commit
    return {
        "commit": commit.id,
        "when": commit.when,
        "who": commit.who,
        "subject": commit.subject,
        "note": event.note,
        "what": event.what.value,
        "name": event.name,
        "line": event.line,
        "paths": [dotted(path) for path in event.paths],
        "before": event.before,
        "after": event.after,
        "private": event.private,
        "text": text_of(event),
    }
