"""The bench list of an audit or a comparison: what it is made from, and the commands that it names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

import cfgaudit
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cfgaudit.audit.bench.call import Call
    from cfgaudit.audit.bench.step import Step
    from cfgaudit.audit.finding import Audit
    from cfgaudit.compare.compare import Comparison
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.dialect.write import Lines
    from cfgaudit.model.sheet import Build
    from cfgaudit.model.value import Json
    from cfgaudit.report.paper import BenchPaper

    List = tuple[BenchPaper, tuple[Step, ...]]

FORMATS = ("text", "json", "markdown")
_NEW = "new.txt"  # what the list calls the dump that is made while it is worked through


class Desk(Struct, frozen=True):
    """What the user named on the command line: the files that the list speaks of."""

    sheet: str
    dialect: str = ""
    rules: tuple[str, ...] = ()
    mend_file: str = ""
    craft: str = ""  # in a project file, which then knows the sheet and the dialect
    project: str = ""

    @property
    def again(self) -> str:
        """The command that audits the new dump."""
        import shlex

        folders = [word for folder in self.rules for word in ("--rules", folder)]
        known = ["--build", self.sheet, *self._dialect]
        if self.craft:
            project = ["--project", self.project] if self.project else []
            known = ["--craft", self.craft, *project, *self._dialect]
        return shlex.join(["cfgaudit", "audit", _NEW, *known, *folders])

    def same(self, dump: str) -> str:
        """The command that compares the new dump with the one that there is."""
        import shlex

        return shlex.join(["cfgaudit", "diff", dump, _NEW, *self._dialect])

    @property
    def _dialect(self) -> list[str]:
        return ["--dialect", self.dialect] if self.dialect else []


def check_format(form: str, *, bench: bool) -> None:
    """Raise Refusal on a format that the report does not come in."""
    check_list_format(form, bench=bench)
    if form == "markdown" and not bench:
        raise Refusal("only the bench list comes as Markdown", "add --bench, or leave --format out")


def check_list_format(form: str, *, bench: bool) -> None:
    """Raise Refusal on a format that a bench list does not come in, if it is one that is asked for."""
    if bench and form not in ("text", "markdown"):
        raise Refusal("the bench list is for people", "leave --format out, or give --format markdown")


def audit_list(desk: Desk, reading: Reading, sheet: Build, outcome: Audit, mends: Lines) -> List:
    """The list of an audit. The configuration that its steps speak of has the mends."""
    from cfgaudit.audit.bench.call import brought_to_light, calls_of
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.dialect.read import pasted
    from cfgaudit.dump.text import Text
    from cfgaudit.report.paper import BenchPaper

    calls = tuple(calls_of(outcome.findings, reading.after))
    mended = reading
    if mends.lines:
        mended = pasted(reading, Text("the mends", "\n".join(mends.lines), "utf-8", mark=False))
    calls = (*calls, *brought_to_light(reading.model, mended.model, calls, reading.after))
    steps = _steps(desk, mended, sheet, calls, reading.dump.file, mends.lines)
    head = BenchPaper(
        cfgaudit.__version__,
        build_head(sheet),
        (dump_head(reading),),
        len(outcome.findings),
        len(outcome.not_judged),
    )
    return head, steps


def diff_list(desk: Desk, before: Reading, after: Reading, sheet: Build, changes: Comparison) -> List:
    """The list of a comparison: for the craft as it is after the changes."""
    from cfgaudit.cli.heads import build_head, dump_head
    from cfgaudit.compare.calls import calls_of_changes
    from cfgaudit.report.paper import BenchPaper

    calls = tuple(calls_of_changes(changes.changes))
    steps = _steps(desk, after, sheet, calls, after.dump.file, ())
    heads = (dump_head(before), dump_head(after))
    return BenchPaper(cfgaudit.__version__, build_head(sheet), heads, len(calls)), steps


def show_list(form: str, paper: BenchPaper, steps: tuple[Step, ...]) -> None:
    """Print the list."""
    from cfgaudit.cli.output import show, style

    if form == "markdown":
        from cfgaudit.report.bench.markdown import bench_markdown

        show(bench_markdown(paper, steps))
    else:
        from cfgaudit.report.bench.bench import bench_text

        show(bench_text(paper, steps, style()))


def _steps(
    desk: Desk,
    reading: Reading,
    sheet: Build,
    calls: Iterable[Call],
    dump: str,
    mends: tuple[str, ...],
) -> tuple[Step, ...]:
    from cfgaudit.audit.audit import evidence_with
    from cfgaudit.audit.bench.bench import bench
    from cfgaudit.audit.bench.guide import shipped_guide
    from cfgaudit.audit.evidence import Bench, facts_of_reading

    calls = tuple(calls)
    guide = shipped_guide(*desk.rules)
    trees = (reading.model.tree, sheet.tree, facts_of_reading(reading))
    seen = evidence_with(guide.sections, *trees, Bench(reading, sheet))
    here: dict[str, Json] = {
        "dump": dump,
        "sheet": sheet.file,
        "findings": sum(1 for call in calls if call.rules),
        "changes": sum(1 for call in calls if not call.rules),
        "mends": [*mends],
        "mend_file": desk.mend_file if mends else "",
        "keep": reading.dialect.keep_with,
        "again": desk.again,
        "same": desk.same(dump),
    }
    return bench(guide, calls, seen, here)
