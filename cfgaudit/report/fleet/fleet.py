"""The report of many craft for people at a terminal: lines of text without line ends, one at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from cfgaudit.audit.finding import Level
from cfgaudit.compare.fleet.majority import LEAST, KindTold, NotSaid, Odd, Other
from cfgaudit.compare.fleet.row import Audited, Drifted, Faulty, Found
from cfgaudit.report.cautions import AUDIT_LIMIT, STANDING
from cfgaudit.report.finding import BLANK, LEVEL, ROLES, mark, named, shortened
from cfgaudit.report.fleet.paper import FleetPaper, kind_words, setting_words, value_words
from cfgaudit.report.foot import hazard_lines
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Role, Style, painter
from cfgaudit.report.words import counted, one_line, packed

FINDINGS = 3  # of a craft
CHANGES = 3  # since its baseline
SETTINGS = 12  # of a kind
CRAFT = 4  # that have another value

_HEAD = (
    "craft",
    "errors",
    "warnings",
    "notes",
    "accepted",
    "not judged",
    "drift",
    "firmware",
    "worst finding",
)
_NUMBERS = range(1, 6)  # these columns are numbers: they end on one line
_ALL = "--all lists them"


def fleet_text(paper: FleetPaper, style: Style = PLAIN, *, everything: bool = False) -> Iterator[str]:
    """The table of all craft, the findings of each, who differs from most, what could not be read."""
    lines = chain(
        _head(paper),
        _table(paper.rows),
        chain.from_iterable(_craft(row, everything) for row in paper.rows),
        _kinds(paper.kinds, everything),
        _faults(paper.faults),
        _foot(paper),
    )
    return map(painter(style), lines)


def _head(paper: FleetPaper) -> Iterator[Line]:
    craft = len(paper.rows) + len(paper.faults)
    yield (
        ("strong", f"{craft} craft in {paper.folder}"),
        ("quiet", f" · audited with cfgaudit {paper.tool_version}"),
    )
    for folder in paper.left_out:
        yield (("plain", f"{folder}: left out: it has a build sheet that no project file names"),)
    yield BLANK


# ------------------------------------------------------------------------- the table


def _table(rows: Sequence[Audited]) -> Iterator[Line]:
    if not rows:
        return
    cells = [_cells(row) for row in rows]
    shown = [_HEAD, *([safe(text) for _, text in row] for row in cells)]
    widths = [max(len(row[n]) for row in shown) for n in range(len(_HEAD))]
    yield tuple(("quiet", _placed(name, n, widths)) for n, name in enumerate(_HEAD))
    for row in cells:
        yield tuple((role, _placed(text, n, widths)) for n, (role, text) in enumerate(row))
    yield BLANK


def _placed(text: str, column: int, widths: Sequence[int]) -> str:
    """A cell in its column; nothing follows the last one."""
    if column == len(widths) - 1:
        return text
    room = " " * (widths[column] - len(safe(text)))
    return f"{room}{text}  " if column in _NUMBERS else f"{text}{room}  "


def _cells(row: Audited) -> list[tuple[Role, str]]:
    counts = row.counts
    worst = row.findings[0] if row.findings else None
    firmware = " ".join(filter(None, (row.firmware, row.version))) or "not named"
    drifted: Role = "warning" if row.has_drifted else "plain"
    return [
        ("strong", row.craft),
        *((ROLES[level] if counts[level] else "quiet", str(counts[level])) for level in Level),
        ("plain" if row.accepted else "quiet", str(row.accepted)),
        ("plain" if row.not_judged else "quiet", str(row.not_judged)),
        (drifted, _drift_words(row)),
        ("plain", f"{firmware} on {row.board}" if row.board else f"{firmware}, board not named"),
        (ROLES[worst.level], named(worst.rule, worst.at)) if worst else ("quiet", "none"),
    ]


def _drift_words(row: Audited) -> str:
    if isinstance(row.drift, Drifted):
        return counted(row.drift.changes, "change") if row.drift.changes else "none"
    return "not recorded" if row.drift.named else "no baseline"


# ------------------------------------------------------------------------- craft by craft


def _craft(row: Audited, everything: bool) -> Iterator[Line]:
    """The findings and the drift of one craft; nothing of one that has neither."""
    drift = row.drift if isinstance(row.drift, Drifted) else None
    told = bool(drift and (drift.changes or drift.sealed_otherwise))
    if not (row.findings or told or row.not_understood):
        return
    yield (("strong", row.craft), ("quiet", f"  {row.dump} · {row.sheet}"))
    findings = row.findings if everything else row.findings[:FINDINGS]
    yield from map(_finding, findings)
    if more := len(row.findings) - len(findings):
        yield _indented(f"and {counted(more, 'more finding')}: {_ALL}")
    if row.not_understood:
        lines = "line is" if row.not_understood == 1 else "lines are"
        yield _indented(f"{row.not_understood} {lines} not understood, so nothing is said of them")
    if drift and told:
        yield from _drift(drift, everything)
    yield BLANK


def _finding(one: Found) -> Line:
    follows = f" · {len(one.follows)} more follow from it" if len(one.follows) > 1 else ""
    follows = " · 1 more follows from it" if len(one.follows) == 1 else follows
    return (
        (ROLES[one.level], f"{one.level.value.upper():<{LEVEL}}"),
        ("plain", one_line(one.text)),
        *mark(one.hazard),
        ("quiet", f"  ({named(one.rule, one.at)}){follows}"),
    )


def _drift(drift: Drifted, everything: bool) -> Iterator[Line]:
    since = f", recorded {drift.recorded}" if drift.recorded else ""
    changes = counted(drift.changes, "change") if drift.changes else "no change that can be told"
    yield (
        ("warning" if drift.changes else "plain", f"{'DRIFT' if drift.changes else 'SEALED':<{LEVEL}}"),
        ("plain", f"{changes} since {drift.baseline}{since}"),
    )
    heaviest = drift.heaviest if everything else drift.heaviest[:CHANGES]
    for one in heaviest:
        yield _indented(f"{one.weight}: {one_line(one.subject)} {shortened(one_line(one.text))}")
    if more := drift.changes - len(heaviest):
        yield _indented(f"and {more} more: cfgaudit diff with the baseline lists all")
    for setting in drift.sealed_otherwise:
        unknown = "sealed with another key, so nobody can say whether it changed"
        yield _indented(f"{setting}: {unknown}; name that key with --key")


def _indented(text: str) -> Line:
    return (("plain", f"{' ' * LEVEL}{text}"),)


# ------------------------------------------------------------------------- kind by kind


def _kinds(kinds: Sequence[KindTold], everything: bool) -> Iterator[Line]:
    compared = [kind for kind in kinds if kind.compared]
    alone = [kind for kind in kinds if not kind.compared]
    if compared:
        yield (("strong", "Who differs from most of its kind"),)
    for kind in compared:
        yield (("plain", f"{kind_words(kind.kind)}: {len(kind.craft)} craft"),)
        shown = kind.odd if everything else kind.odd[:SETTINGS]
        yield from _settings(kind, shown, everything)
        if more := len(kind.odd) - len(shown):
            yield (("plain", f"  and {counted(more, 'more setting')}: {_ALL}"),)
        if not kind.odd:
            yield (("plain", "  none does, in any setting that most have alike"),)
    if compared:
        yield BLANK
    if alone:
        yield (("strong", f"No majority: a kind needs {LEAST} craft or more, and a board that is named"),)
        for kind in alone:
            craft = _listed(kind.craft, everything)
            yield (("plain", f"  {kind_words(kind.kind)}: {len(kind.craft)} craft ({craft})"),)
        yield BLANK


def _settings(kind: KindTold, odd: Iterable[Odd], everything: bool) -> Iterator[Line]:
    rows = [(setting_words(one), _others(one, everything), _usual(kind, one)) for one in odd]
    width = max((len(safe(name)) for name, _, _ in rows), default=0)
    for name, others, usual in rows:
        room = " " * (width - len(safe(name)))
        yield (("plain", f"  {name}{room}   {others}"), ("quiet", f"   {usual}"))


def _others(odd: Odd, everything: bool) -> str:
    return "; ".join(f"{_other(odd, one)} on {_listed(one.craft, everything)}" for one in odd.others)


def _other(odd: Odd, one: Other) -> str:
    said = value_words(odd, one.value)
    return f"another one {said}" if odd.private and not isinstance(one.value, NotSaid) else said


def _usual(kind: KindTold, odd: Odd) -> str:
    have = f"{odd.have} of {len(kind.craft)}"
    return f"{have} have the same one" if odd.private else f"{have}: {value_words(odd, odd.usual)}"


def _listed(craft: Sequence[str], everything: bool) -> str:
    shown = craft if everything or len(craft) <= CRAFT + 1 else craft[:CRAFT]
    more = f" and {len(craft) - len(shown)} more" if len(shown) < len(craft) else ""
    return ", ".join(shown) + more


# ------------------------------------------------------------------------- the foot


def _faults(faults: Sequence[Faulty]) -> Iterator[Line]:
    if faults:
        yield (("error", f"Could not be audited: {len(faults)} craft"),)
        for one in faults:
            yield (("strong", f"  {one.craft}"), ("plain", f": {one.what}"))
        yield BLANK


def _foot(paper: FleetPaper) -> Iterator[Line]:
    counts = [(ROLES[level], counted(n, level.value)) for level, n in paper.counts.items() if n]
    drifted = sum(row.has_drifted for row in paper.rows)
    clean = sum(not (row.findings or row.has_drifted) for row in paper.rows)
    spans: list[tuple[Role, str]] = []
    for span in counts:
        spans += [("plain", ", "), span]
    yield (
        *(spans[1:] or [("plain", "no findings")]),
        (
            "plain",
            f" in {len(paper.rows)} craft · {drifted} drifted · {clean} with neither findings nor drift",
        ),
        ("plain", f" · {len(paper.faults)} could not be audited" if paper.faults else ""),
    )
    yield from hazard_lines(paper.hazards)
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", AUDIT_LIMIT),)
