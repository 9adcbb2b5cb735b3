r"""The report of audits as workflow commands, from which GitHub Actions makes annotations.

A command is a line ``::level file=…,line=…::message``. What its message says is written with ``%25``, ``%0D``
and ``%0A`` for a percent sign and line ends, in its properties also ``%3A`` and ``%2C``. Every line here is a
command of ours, so that nothing that a file holds can begin one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.audit.finding import Audit, Finding, Level
from cfgaudit.model.place import Default, Place
from cfgaudit.report.cautions import AUDIT_LIMIT, caution_for, with_consequences
from cfgaudit.report.finding import mend_lines, named, told_at
from cfgaudit.report.foot import tally_spans
from cfgaudit.report.paper import Audited, NotAudited
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import one_line

COMMANDS = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTE: "notice"}


def github(crafts: Iterable[Audited | NotAudited]) -> Iterator[str]:
    """The commands: of each craft the weightiest finding first, last how many there are."""
    for one in crafts:
        if isinstance(one, Audited):
            yield from _audited(one)
        else:
            yield command("error", one.where, f"{one.craft}: not audited", [one.what])


def command(name: str, place: Place | None, title: str, message: Iterable[str]) -> str:
    """One command; ``place`` is None where no file can be opened."""
    where = {"file": place.file, "line": str(place.line), "col": str(place.column)} if place else {}
    properties = ",".join(f"{key}={_property(value)}" for key, value in {**where, "title": title}.items())
    return f"::{name} {properties}::{'%0A'.join(map(_data, message))}"


def _data(text: str) -> str:
    return safe(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


def _audited(one: Audited) -> Iterator[str]:
    paper, audit = one.paper, one.audit
    loose = "" if paper.dump.is_file else paper.dump.file
    for finding in sorted(audit.findings, key=lambda finding: finding.level.rank):
        title = named(finding.rule, finding.at)
        lines = _message(finding, paper.dump.keep_with)
        yield command(COMMANDS[finding.level], _place(finding, loose), title, lines)
    for unheeded in audit.unheeded:
        title = f"accepts nothing: {named(unheeded.entry.rule, unheeded.entry.at)}"
        yield command("notice", unheeded.entry.place, title, [one_line(unheeded.text)])
    for head in (paper.dump, paper.build):
        place = Place(head.file, 1, 1) if head.file != loose else None
        yield from (command("notice", place, head.file, [one_line(note)]) for note in head.notes)
    yield command("notice", None, f"cfgaudit: {one.name or 'craft not named'}", _summary(audit))


def _place(finding: Finding, loose: str) -> Place | None:
    """Where a finding is shown: a place in what is no file, and one that no line tells of, is none."""
    place = told_at(finding)
    return place if place and place.file != loose else None


def _message(finding: Finding, keep_with: str) -> Iterator[str]:
    yield _sentence(finding)
    for word, sights in (("found", finding.found), ("declared", finding.declared)):
        for sight in sights:
            text = sight.text.strip()
            where = "by default" if isinstance(sight.origin, Default) else str(sight.origin)
            yield f"{word}: {where}   {text}".rstrip()
    yield from map(painter(PLAIN), mend_lines(finding.mend, keep_with))
    for follower in with_consequences(finding.follows):
        yield f"follows: {_sentence(follower)} ({follower.rule})"


def _sentence(finding: Finding) -> str:
    caution = f" ({caution_for(finding.hazard).mark})" if finding.hazard else ""
    return f"{one_line(finding.text)}{caution}"


def _summary(audit: Audit) -> Iterator[str]:
    counts = tally(audit)
    yield painter(PLAIN)((*tally_spans(counts), ("plain", f" · {counts.not_judged} not judged")))
    yield AUDIT_LIMIT
