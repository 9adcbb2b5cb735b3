"""What is in force for a craft, and where each thing was said."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from msgspec import Struct

from cfgaudit.model.terms import Acceptance, LevelChange, Terms
from cfgaudit.model.value import Json
from cfgaudit.report.as_json import report_of
from cfgaudit.report.finding import BLANK
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.words import one_line


class InForce(Struct, frozen=True):
    """One thing that is in force, and where it was said: a place, "the command line", "usual"."""

    what: str
    value: str
    source: str


class CraftInForce(Struct, frozen=True):
    """All that is in force for a craft; at least one thing."""

    name: str
    settings: tuple[InForce, ...]


def settings_text(every: Iterable[CraftInForce], style: Style = PLAIN) -> Iterator[str]:
    """Craft after craft: what is in force, its value, and where it was said."""
    return map(painter(style), chain.from_iterable(_lines(one) for one in every))


def _lines(craft: CraftInForce) -> Iterator[Line]:
    yield (("strong", craft.name or "craft not named"),)
    what = max(len(one.what) for one in craft.settings)
    value = max(len(safe(one_line(one.value))) for one in craft.settings)
    for one in craft.settings:
        shown = safe(one_line(one.value))
        yield (
            ("quiet", f"  {one.what:<{what}}   "),
            ("plain", f"{shown:<{value}}   "),
            ("quiet", one.source),
        )
    yield BLANK


def settings_json(tool_version: str, every: Iterable[CraftInForce]) -> Json:
    """The same as plain data."""
    craft: list[Json] = [
        {
            "craft": one.name,
            "settings": [
                {"what": each.what, "value": each.value, "from": each.source} for each in one.settings
            ],
        }
        for one in every
    ]
    return report_of("settings", tool_version, {"craft": craft})


def terms_lines(rule: str, terms: Terms) -> tuple[str, ...]:
    """What a user says about one rule."""
    levels = (one for one in terms.levels if one.rule == rule)
    accepted = (one for one in terms.accepted if one.rule == rule)
    return (*map(_level, levels), *map(_accepted, accepted))


def _level(one: LevelChange) -> str:
    what = "is switched off" if one.level == "off" else f"counts as {one.level}"
    return f"{what}: {one.reason} ({one.place})"


def _accepted(one: Acceptance) -> str:
    at = f" at {one.at}" if one.at else ""
    return f"accepted{at}: {one.reason} ({one.place})"
