"""The report of a firmware update for people at a terminal: what becomes of what, most urgent first."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from cfgaudit.compare.carry.fate import SURE, Fate
from cfgaudit.report.audit import weighed_line
from cfgaudit.report.carry.after import after_lines
from cfgaudit.report.carry.audit import audit_lines, unaudited_lines
from cfgaudit.report.carry.changes import (
    as_it_is_lines,
    default_lines,
    doubtful_lines,
    otherwise_lines,
    strange_lines,
    unsaid_line,
)
from cfgaudit.report.carry.moved import moved_lines
from cfgaudit.report.carry.paper import CarryPaper, Update
from cfgaudit.report.carry.script import mends_block, script_block
from cfgaudit.report.carry.words import carry_hazards, doubtful, is_own, of_fate
from cfgaudit.report.cautions import CARRY_LIMIT, STANDING
from cfgaudit.report.finding import BLANK
from cfgaudit.report.foot import hazard_lines, tally_spans
from cfgaudit.report.safe import safe
from cfgaudit.report.style import PLAIN, Line, Style, painter
from cfgaudit.report.tally import tally
from cfgaudit.report.words import counted, firmware_words, one_line, packed, reading_words


def carry_text(
    paper: CarryPaper, update: Update, style: Style = PLAIN, *, show_all: bool = False, show_why: bool = True
) -> Iterator[str]:
    """An update planned, or checked once there is a later dump.

    ``show_all`` lists as well what is merely counted; ``show_why`` gives each finding the first sentence
    of its reason.
    """
    plan, done = update.plan, bool(update.arrival)
    lines = chain(
        _head(paper, update),
        after_lines(update),
        doubtful_lines(update, show_all),
        unsaid_line(plan),
        strange_lines(plan),
        otherwise_lines(plan) if show_all or not done else (),
        default_lines(plan) if show_all or not done else (),
        as_it_is_lines(plan, show_all) if show_all or not done else (),
        moved_lines(update, show_all),
        audit_lines(paper, update, show_why),
        () if done else script_block(paper, update),
        mends_block(update),
        unaudited_lines(update),
        _foot(update),
    )
    return map(painter(style), lines)


def _head(paper: CarryPaper, update: Update) -> Iterator[Line]:
    craft = next((f"{head.craft} · " for head in paper.build if head.craft), "")
    how = "checked" if update.arrival else "planned"
    yield (
        ("strong", f"{craft}{_step(paper, update)}"),
        ("quiet", f" · {how} with cfgaudit {paper.tool_version}"),
    )
    said = len("build sheet")
    width = max(len(safe(head.file)) for _, head in paper.dumps)
    for word, head in paper.dumps:
        name = f"  {word:<{said}}   {safe(head.file):<{width}}"
        yield (("quiet", f"{name}   {firmware_words(head)}, {reading_words(head)}"),)
        yield from ((("plain", f"{' ' * len(name)}   {one_line(note)}"),) for note in head.notes)
    for build in paper.build:
        devices, motors = counted(build.devices, "device"), counted(build.motors, "motor")
        yield (("quiet", f"  {'build sheet':<{said}}   {safe(build.file):<{width}}   {devices}, {motors}"),)
        yield from ((("plain", f"  {build.file}: {one_line(note)}"),) for note in build.notes)
    for note in paper.notes:
        yield (("warning" if note.warns else "plain", one_line(note.text)),)
    for checked in update.checked:
        yield from map(weighed_line, checked.after.weighed)
    yield BLANK
    yield _summary(update)
    yield BLANK


def _step(paper: CarryPaper, update: Update) -> str:
    """``dunlin 2.3.1 → 3.0.0 on Sedge-743``."""
    was, now = paper.mine, paper.new
    if update.plan.one_firmware and was.board == now.board and was.version and now.version:
        name = f"{now.firmware} {was.version} → {now.version}"
        return f"{name} on {now.board}" if now.board else name
    return f"{firmware_words(was)} → {firmware_words(now)}"


def _summary(update: Update) -> Line:
    plan = update.plan
    sure, equal = len(of_fate(plan, *SURE)), len(of_fate(plan, Fate.EQUAL))
    open_ones = doubtful(plan)
    own = sum(is_own(one, plan) for one in open_ones)
    decide = len(open_ones) - own
    said = [f"{sure} to be carried over", f"{equal} as the firmware comes anyway" if equal else ""]
    said.append(f"{decide} for you to decide" if decide else "none left to decide")
    said.append(f"{own} without a counterpart" if own else "")
    total = sure + equal + len(open_ones)
    if not total:
        return (("strong", "You had changed nothing: your dump says what the old firmware came with."),)
    return (("strong", f"You had changed {counted(total, 'setting')}: {', '.join(filter(None, said))}."),)


def _foot(update: Update) -> Iterator[Line]:
    for checked in update.checked:
        not_judged = len(checked.after.not_judged)
        word = "The later dump: " if update.arrival else "The result: "
        yield (("plain", word), *tally_spans(tally(checked.after)), ("plain", f" · {not_judged} not judged"))
    yield from hazard_lines(carry_hazards(update))
    yield from ((("plain", line),) for line in packed(STANDING))
    yield (("strong", CARRY_LIMIT),)
