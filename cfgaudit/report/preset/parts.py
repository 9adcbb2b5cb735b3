"""What both reports of a preset are made of: their head, lines with a reason, findings with their lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from cfgaudit.audit.finding import Finding, Sight, Weighed
from cfgaudit.compare.preset.meant import Otherwise
from cfgaudit.compare.preset.trace import Traced
from cfgaudit.dialect.typed import Session
from cfgaudit.dump.statement import Statement
from cfgaudit.model.place import Origin
from cfgaudit.report.audit import weighed_line
from cfgaudit.report.finding import BLANK, LEVEL, ROLES, finding_lines, mark, shortened
from cfgaudit.report.preset.paper import PresetPaper
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line
from cfgaudit.report.words import counted, firmware_words, one_line, reading_words

WIDEST = 48  # columns of a line from a file before what is said of it


class Told(Struct, frozen=True):
    """A line of the preset, where it stands, and what is said of it; "" if the heading says it."""

    origin: Origin
    text: str
    why: str = ""


def without_remark(session: Session, statement: Statement) -> str:
    """A line as reports show it, without the remark behind it."""
    if statement.line in session.private or not statement.spans:
        return session.shown(statement)
    return statement.text[: statement.spans[-1]].strip()


def heading(text: str) -> Line:
    """What stands above a part of the report."""
    return (("strong", text),)


def head_lines(
    paper: PresetPaper, otherwise: Iterable[Otherwise], weighed: Iterable[Weighed], how: str
) -> Iterator[Line]:
    """Which preset on which dump by which sheet, and what it was made for and is not."""
    build, preset = paper.build, paper.preset
    yield (
        ("strong", f"{build.craft or 'craft not named'} · {firmware_words(paper.before)}"),
        ("quiet", f" · {how} with cfgaudit {paper.tool_version}"),
    )
    devices, motors = counted(build.devices, "device"), counted(build.motors, "motor")
    yield (("plain", f"{preset.file}: {counted(preset.lines, 'line')} on top of {paper.before.file}"),)
    for dump in (paper.before, *paper.after):
        firmware = "" if dump is paper.before else f"{firmware_words(dump)}, "
        yield (("plain", f"{dump.file}: {firmware}{reading_words(dump)}"),)
    yield (("plain", f"{build.file}: {devices}, {motors}"),)
    told = [(head.file, head.notes) for head in (paper.before, *paper.after)]
    for file, notes in ((preset.file, preset.notes), *told, (build.file, build.notes)):
        yield from ((("plain", f"{file}: {one_line(note)}"),) for note in notes)
    for one in otherwise:
        yield (("warning", f"{one.origin}: {one_line(one.text)}"),)
    yield from map(weighed_line, weighed)
    yield BLANK


def told_lines(above: str, told: Iterable[Told]) -> Iterator[Line]:
    """Lines of the preset in columns: where, what, and what is said of each. Nothing if there are none."""
    lines = tuple(told)
    if not lines:
        return
    yield heading(above)
    where = max(len(safe(str(one.origin))) for one in lines)
    text = min(WIDEST, max(len(safe(one.text)) for one in lines))
    for one in lines:
        shown = _fitted(safe(one.text))
        yield (
            ("quiet", f"  {safe(str(one.origin)):<{where}}   "),
            ("plain", f"{shown:<{text}}   {one_line(one.why)}" if one.why else shown),
        )
    yield BLANK


def brought_lines(
    above: str,
    brought: Sequence[Traced],
    session: Session,
    keep_with: str,
    show_why: bool,
    show_mend: bool,
) -> Iterator[Line]:
    """The findings that a preset brings, whole, each with the lines that bring it."""
    if not brought:
        yield heading(f"{above} nothing that an audit would find.")
        yield BLANK
        return
    yield heading(f"{above} {counted(len(brought), 'finding')}")
    yield BLANK
    for one in by_level(brought):
        traced = [Sight(line.place, session.shown(line)) for line in one.lines]
        yield from finding_lines(one.finding, keep_with, show_why, show_mend, traced)


def brief_lines(above: str, traced: Sequence[Traced], session: Session, nobody: str = "") -> Iterator[Line]:
    """Findings in one line each, with the preset's lines behind them; ``nobody`` is said where none is."""
    if not traced:
        return
    yield heading(above)
    for one in by_level(traced):
        lines = ", ".join(
            f"line {line.line}: {shortened(without_remark(session, line))}" for line in one.lines
        )
        yield brief_line(one.finding, lines or nobody)
    yield BLANK


def brief_line(finding: Finding, by: str) -> Line:
    """A finding in one line."""
    return (
        (ROLES[finding.level], f"  {finding.level.value.upper():<{LEVEL}}"),
        ("plain", one_line(finding.text)),
        *mark(finding.hazard),
        ("quiet", f"   {one_line(by)}" if by else ""),
    )


def by_level(traced: Iterable[Traced]) -> Sequence[Traced]:
    """Weightiest first; within a level in the order of the audit."""
    return sorted(traced, key=lambda one: one.finding.level.rank)


def _fitted(text: str) -> str:
    return text if len(text) <= WIDEST else f"{text[: WIDEST - 1]}…"
