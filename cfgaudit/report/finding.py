"""How one finding is told: its places, its mend, its reason, what follows from it.

Everything here works with raw text and roles; ``painter`` makes it safe and colours it. Lines that
somebody may paste are never wrapped and stand alone on their line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.audit.finding import Finding, Level, Mend, Sight
from cfgaudit.model.place import Place
from cfgaudit.report.cautions import caution_for, with_consequences
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line, Role, Span
from cfgaudit.report.words import one_line

LEVEL = 9  # columns of the level's word before a finding
ROLES: dict[Level, Role] = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTE: "note"}
BLANK: Line = ()

_LABEL = 10  # columns of "declared", "found", … before what they label
_LONGEST = 160  # characters shown of a line from a file: enough to know it again
# The end of a sentence, but not the dot of an abbreviation such as "e.g.".
_SENTENCE = re.compile(r".+?(?<!\.[a-z])[.!?](?=\s+[A-Z0-9])")


def finding_lines(
    finding: Finding,
    keep_with: str,
    show_why: bool,
    show_mend: bool = True,
    traced: Sequence[Sight] = (),
) -> Iterator[Line]:
    """One finding with its places, its mend and its reason.

    ``traced`` are the lines of a preset that bring it: what it shows of them is not said twice.
    """
    label = f"{finding.level.value.upper():<{LEVEL}}"
    yield ((ROLES[finding.level], label), ("strong", one_line(finding.text)), *mark(finding.hazard))
    lines = {_line_of(one) for one in traced}
    found = [one for one in finding.found if not traced or _line_of(one) not in lines]
    width = max((len(safe(str(one.origin))) for one in (*finding.declared, *found, *traced)), default=0)
    yield from labelled("declared", (_sight(one, width) for one in finding.declared))
    yield from labelled("preset", (_sight(one, width) for one in traced))
    yield from labelled("found", (_sight(one, width) for one in found))
    yield from labelled("mend", mend_lines(finding.mend, keep_with) if show_mend else ())
    yield from labelled("follows", map(_consequence, with_consequences(finding.follows)))
    if show_why:
        yield from labelled("why", [(("plain", first_sentence(finding.why)),)])
    yield from labelled("rule", [(("quiet", named(finding.rule, finding.at)),)])
    yield BLANK


def named(rule: str, at: str) -> str:
    """A rule and its place as an acceptance names them: what stands here can be copied into one."""
    return f"{rule}, at: {at}" if at else rule


def labelled(label: str, lines: Iterable[Line]) -> Iterator[Line]:
    """Lines under a label, which stands before the first."""
    for line in lines:
        yield (("plain", " " * LEVEL), ("quiet", f"{label:<{_LABEL}}"), *line)
        label = ""


def mark(hazard: str) -> tuple[Span, ...]:
    """The words behind a sentence that is about what can hurt."""
    return (("plain", "    "), ("warning", f"! {caution_for(hazard).mark}")) if hazard else ()


def _line_of(sight: Sight) -> object:
    """What is the same for two places on one line."""
    origin = sight.origin
    return (origin.file, origin.line) if isinstance(origin, Place) else sight


def _sight(sight: Sight, width: int) -> Line:
    where, text = safe(str(sight.origin)), shortened(sight.text.strip())
    return (("quiet", f"{where:<{width}}   "), ("plain", text)) if text else (("quiet", where),)


def mend_lines(mend: Mend, keep_with: str) -> Iterator[Line]:
    """What to paste, and what to type then; or why there is nothing to paste."""
    if mend.lines:
        these = "this line" if len(mend.lines) == 1 else f"these {len(mend.lines)} lines"
        if any(safe(line) != line for line in mend.lines):
            yield (("warning", f"do not paste {these}: what a \\ stands before is only written out"),)
        else:
            these += f", in force after a {one_line(mend.wait)}" if mend.wait else ""
            yield (("quiet", f"paste {these}, then type: {keep_with}" if keep_with else f"paste {these}"),)
        yield from ((("plain", line),) for line in mend.lines)
    if mend.cannot:
        yield (("plain", f"nothing {'more ' if mend.lines else ''}to paste: {one_line(mend.cannot)}"),)
    elif not mend.lines:
        yield (("plain", "nothing to paste: this one needs your decision or your hands"),)


def _consequence(finding: Finding) -> Line:
    return (("plain", one_line(finding.text)), *mark(finding.hazard), ("quiet", f"  ({finding.rule})"))


def first_sentence(text: str) -> str:
    """The first sentence of a reason, on one line."""
    line = one_line(text)
    first = _SENTENCE.match(line)
    return first.group() if first else line


def shortened(text: str) -> str:
    """A line from a file, cut where it is long: enough to know it again."""
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def told_at(finding: Finding) -> Place | None:
    """Where to look at a finding first: in the dump, else in the sheet; None if no line tells of it."""
    places = (one.origin for one in (*finding.found, *finding.declared))
    return next((place for place in places if isinstance(place, Place)), None)
