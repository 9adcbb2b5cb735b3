"""The lines that set a builder's settings again, as a report shows them and as a file holds them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import SURE
from cfgaudit.dialect.setting import Setting
from cfgaudit.dialect.wait import longest
from cfgaudit.report.carry.paper import CarryPaper, Update
from cfgaudit.report.finding import BLANK
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line
from cfgaudit.report.words import counted, firmware_words, one_line, wrapped


def script_lines(plan: Plan, *, hide: bool) -> Iterator[str]:
    """The script. ``hide``: of a line that holds a private value a remark stands there instead."""
    yield from typable((one.shown if hide else one.text for one in plan.script), plan.new.dialect.remark)


def typable(lines: Iterable[str], sign: str) -> Iterator[str]:
    """Lines as they can be typed: a terminal would act on a control character instead of passing it on."""
    for line in lines:
        yield line if line.isprintable() else f"{sign} left out, since it cannot be typed: {safe(line)}"


def wait_of(plan: Plan) -> str:
    """What the lines of the script wait for before all of them are in force; "" if for nothing."""
    return longest(
        plan.new.after(path)
        for one in plan.carried
        if one.fate in SURE and isinstance(one.triple.mine, Setting)
        for path in one.triple.mine.paths
    )


def script_block(paper: CarryPaper, update: Update) -> Iterator[Line]:
    """The script to paste."""
    plan = update.plan
    live = sum(not one.remark and not one.hidden for one in plan.script)
    if not plan.script:
        yield (("strong", "There is nothing to type: no change of yours is to be carried over."),)
        yield BLANK
        return
    what = f"The script: {counted(live, 'line')} to type on {firmware_words(paper.new)} as it comes"
    what += ", which set again what you had changed. " if live else ". "
    what += (
        f"What stands behind “{plan.new.dialect.remark}” does nothing: it is for you to decide. "
        "To have such a line, take the sign away."
    )
    yield from ((("strong", line),) for line in wrapped(what, 0))
    yield BLANK
    yield from ((("plain", line),) for line in script_lines(plan, hide=True))
    yield BLANK


def mends_block(update: Update) -> Iterator[Line]:
    """The lines that mend what an audit of the result finds, what no line mends, and what keeps it all."""
    plan, waits = update.plan, [] if update.arrival else [wait_of(update.plan)]
    typed = bool(plan.script) and not update.arrival
    for checked in update.checked:
        mends = checked.remedy.lines
        if mends.lines:
            waits.append(mends.wait)
            typed = True
            what = "These lines mend what can be mended:"
            if not update.arrival:
                what = "After the script, these lines mend what the build sheet says otherwise:"
            yield (("strong", what),)
            yield BLANK
            yield from ((("plain", line),) for line in typable(mends.lines, plan.new.dialect.remark))
            yield BLANK
        yield from ((("plain", f"Not mended: {one_line(reason)}"),) for reason in mends.cannot)
        yield from [BLANK] if mends.cannot else []
    if typed:
        yield from _kept(plan.new.dialect.keep_with, longest(waits))


def _kept(keep: str, wait: str) -> Iterator[Line]:
    """What is typed behind lines so that they survive a restart."""
    said = [f"Then type: {one_line(keep)}"] if keep else []
    said += [f"In force after a {one_line(wait)}"] if wait else []
    if said:
        yield (("strong", ". ".join(said)),)
        yield BLANK
