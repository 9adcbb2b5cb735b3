"""Places in a SARIF log, and what its parts point at by number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.audit.finding import Finding, Sight
from cfgaudit.model.place import Default, Place
from cfgaudit.model.value import Json
from cfgaudit.report.cautions import told, with_consequences
from cfgaudit.report.finding import told_at
from cfgaudit.report.paper import Audited
from cfgaudit.report.safe import safe
from cfgaudit.report.sarif.text import said
from cfgaudit.report.sarif.uri import uri_of


class Desk(Struct, frozen=True):
    """What the parts of one run point at by number."""

    files: Mapping[str, int]
    rules: Mapping[str, int]
    loose: str  # the dump's name, if it is none of a file
    about: Audited


def rule_by_number(desk: Desk, rule: str) -> dict[str, Json]:
    """A rule as a result names it."""
    number: dict[str, Json] = {"ruleIndex": desk.rules[rule]} if rule in desk.rules else {}
    return {"ruleId": safe(rule), **number}


def files_of(one: Audited) -> Iterator[str]:
    """All files that the run points into, in the order in which it does."""
    audit = one.audit
    for finding in with_consequences(told(audit)):
        for sight in (*finding.found, *finding.declared):
            if isinstance(sight.origin, Place):
                yield sight.origin.file
    yield from (accepted.by.place.file for accepted in audit.accepted)
    yield from (open_.where.file for open_ in audit.not_judged if open_.where)
    yield from (unheeded.entry.place.file for unheeded in audit.unheeded)


def artifact_of(desk: Desk, file: str) -> Json:
    """A file as the run lists it."""
    known = file in (desk.about.paper.dump.file, desk.about.paper.build.file)
    roles: dict[str, Json] = {"roles": ["analysisTarget"]} if known else {}
    location = artifact_location(desk, file)
    return {"location": {key: value for key, value in location.items() if key != "index"}, **roles}


def artifact_location(desk: Desk, file: str) -> dict[str, Json]:
    """A file by its URI; what has none by its number alone, described by its name."""
    if file == desk.loose:
        return {"index": desk.files[file], "description": said(_loose_name(file))}
    return {"uri": uri_of(file), "index": desk.files[file]}


def _loose_name(file: str) -> str:
    return "standard input" if file == "-" else f"{file}, out of git"


def file_at(desk: Desk, file: str) -> dict[str, Json]:
    """A whole file as a physical location."""
    return {"artifactLocation": artifact_location(desk, file)}


def location_of(desk: Desk, place: Place) -> dict[str, Json]:
    """A place, by its name as well where it is in no file."""
    named: dict[str, Json] = {"logicalLocations": [{"fullyQualifiedName": safe(_loose_name(place.file))}]}
    return {
        "physicalLocation": {**file_at(desk, place.file), **region_of(place)},
        **(named if place.file == desk.loose else {}),
    }


def region_of(place: Place) -> dict[str, Json]:
    """From a place to the end of its line."""
    return {"region": {"startLine": place.line, "startColumn": place.column}}


def first_location(desk: Desk, finding: Finding) -> Json:
    """Where to look at a finding first; of one that no line tells of, the file that it is about."""
    first = told_at(finding)
    logical: Json = {"fullyQualifiedName": safe(finding.subject)}
    if first is None:
        paper = desk.about.paper
        file = paper.build.file if finding.subject.startswith("build.") else paper.dump.file
        return {"physicalLocation": file_at(desk, file), "logicalLocations": [logical]}
    sights = [("found", one) for one in finding.found] + [("declared", one) for one in finding.declared]
    message = next(_told(word, sight) for word, sight in sights if sight.origin == first)
    return {**location_of(desk, first), "logicalLocations": [logical], "message": message}


def sight_at(desk: Desk, word: str, sight: Sight) -> Json:
    """Another place that a finding points at, with what stands there."""
    origin = sight.origin
    if isinstance(origin, Default):
        return {
            "logicalLocations": [{"fullyQualifiedName": safe(str(origin))}],
            "message": _told(word, sight),
        }
    return {**location_of(desk, origin), "message": _told(word, sight)}


def _told(word: str, sight: Sight) -> Json:
    text = sight.text.strip()
    return said(f"{word}: {text}" if text else word)
