"""Reports of an audit for other programs: one document, of one craft or of all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from cfgaudit.audit.finding import Audit
    from cfgaudit.dialect.in_place import Replacement
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.report.paper import Audited, NotAudited

FORMATS = ("sarif", "junit", "github", "markdown")


def report(
    form: str, tool_version: str, crafts: Iterable[Audited | NotAudited], *, why: bool
) -> Iterator[str]:
    """The lines of a report in one of these formats."""
    if form == "sarif":
        from cfgaudit.report.as_json import json_text
        from cfgaudit.report.sarif.sarif import sarif

        yield json_text(sarif(tool_version, crafts)).rstrip("\n")
    elif form == "junit":
        from cfgaudit.report.junit import junit

        yield from junit(crafts)
    elif form == "github":
        from cfgaudit.report.github import github

        yield from github(crafts)
    else:
        from cfgaudit.report.audit_markdown import audit_markdown

        yield from audit_markdown(crafts, show_why=why)


def not_audited(craft: str, refusal: Refusal) -> NotAudited:
    """A craft that could not be audited, for a report."""
    from cfgaudit.cli.sources import is_file
    from cfgaudit.report.paper import NotAudited

    if refusal.place and is_file(refusal.place.file):
        return NotAudited(craft, f"{refusal.what}; {refusal.mend}", refusal.place)
    return NotAudited(craft, str(refusal))


def fixes(reading: Reading, outcome: Audit) -> Mapping[str, tuple[Replacement, ...]]:
    """By fingerprint, the mends that can be written as changes of the dump's own lines.

    What is no file has none: nothing can be changed in it.
    """
    from cfgaudit.cli.sources import is_file
    from cfgaudit.dialect.in_place import in_place
    from cfgaudit.report.cautions import with_consequences

    if not is_file(reading.dump.file):
        return {}
    return {
        finding.fingerprint: changes
        for finding in with_consequences(outcome.findings)
        if finding.mend.lines
        and not finding.mend.cannot
        and (changes := in_place(reading, dict(finding.mend.wanted)))
    }
