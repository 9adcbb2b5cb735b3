"""The script of a firmware update in a new file to paste."""

from __future__ import annotations

from collections.abc import Iterator

import cfgaudit
from cfgaudit.cli.output import say
from cfgaudit.cli.own_file import write_new
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.dialect.read import MENDS
from cfgaudit.report.carry.paper import CarryPaper
from cfgaudit.report.carry.script import script_lines, wait_of
from cfgaudit.report.paper import DumpHead
from cfgaudit.report.safe import safe


def write_script(name: str, paper: CarryPaper, plan: Plan, *, keep_private: bool) -> None:
    """Write FILE. Raises Refusal if it is there: nothing is written over."""
    write_new(name, "".join(f"{line}\n" for line in _lines(paper, plan, hide=not keep_private)))
    say(f"the script was written to {name}{_about_private(plan, keep_private)}")


def _about_private(plan: Plan, keep_private: bool) -> str:
    number = sum(bool(one.hidden) for one in plan.script)
    if not number:
        return ""
    lines = f"{number} line{'' if number == 1 else 's'} with private values"
    return f", with {lines} in it: show it to nobody" if keep_private else f"; {lines} are named, not written"


def _lines(paper: CarryPaper, plan: Plan, *, hide: bool) -> Iterator[str]:
    sign = plan.new.dialect.remark
    # put below the new factory dump, the text is read as typed afterwards
    new, old = _named(paper.new), _named(paper.old)
    what = f"{MENDS} {new} by what {paper.mine.file} has changed in {old} (cfgaudit {cfgaudit.__version__})"
    yield f"{sign} {safe(what)}"
    yield f"{sign} Propellers off before anything is tried. Read each line against the solder joints."
    yield f"{sign} A line behind this sign does nothing: it is for you to decide."
    yield from script_lines(plan, hide=hide)
    if plan.new.dialect.keep_with:
        yield f"{sign} then type: {safe(plan.new.dialect.keep_with)}"
    if wait := wait_of(plan):
        yield f"{sign} in force after a {safe(wait)}"


def _named(head: DumpHead) -> str:
    name = " ".join(filter(None, (head.firmware, head.version)))
    return f"{head.file} ({name})" if name else head.file
