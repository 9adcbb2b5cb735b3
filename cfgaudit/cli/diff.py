"""cfgaudit diff: what really changed between two dumps?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

import cfgaudit
from cfgaudit.cli.bench import FORMATS, check_format
from cfgaudit.cli.main import FOUND
from cfgaudit.cli.options import craft_option, dialect_option, project_option
from cfgaudit.cli.project import craft_named
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.cli.sources import Source
    from cfgaudit.compare.compare import Comparison
    from cfgaudit.report.paper import DiffPaper


@click.command("diff")
@click.argument("before", metavar="A")
@click.argument("after", metavar="B")
@dialect_option("A dialect's name or file; else the headers tell.")
@click.option(
    "--build",
    default="",
    metavar="SHEET",
    help="The build sheet, for --bench or a firmware that numbers ports itself.",
)
@craft_option("A and B are of this craft of the project file.")
@project_option()
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True)
@click.option("--bench", is_flag=True, help="What to check at the bench instead, by the build sheet.")
def command(
    before: str, after: str, dialect: str, build: str, craft: str, project: str, form: str, bench: bool
) -> int:
    """Say what changed from dump A to dump B, what can hurt first. A and B: a file, - or REV:path.

    Dumps that no dialect knows are compared by the names and leading cells of their lines.

    \b
    Example: cfgaudit diff HEAD~1:otter.txt otter.txt
    """
    from cfgaudit.cli.output import show, style
    from cfgaudit.cli.sources import fetch

    if before == after == "-":
        raise Refusal("standard input cannot be both A and B", "name a file for one of them")
    check_format(form, bench=bench)
    if craft and build:
        raise Refusal("--craft and --build name a build sheet each", "leave one of them out")
    if craft:
        meant = craft_named(craft, project)
        dialect, build = dialect or meant.dialect, meant.build
    if bench and not build:
        raise Refusal("the bench list goes by what is soldered", "name the build sheet with --build")
    a, b = fetch(before), fetch(after)
    known = bool(dialect) or a.is_known() or b.is_known()
    if bench:
        if not known:
            raise Refusal("no dialect knows these dumps, so what to check is not known", "name it: --dialect")
        return _show_list(a, b, dialect, build, form)
    paper, changes = _by_dialect(a, b, dialect, build) if known else _by_lines(a, b)
    if form == "json":
        from cfgaudit.report.as_json import diff_json, json_text

        show([json_text(diff_json(paper, changes)).rstrip("\n")])
    else:
        from cfgaudit.report.diff import diff_text

        show(diff_text(paper, changes, style()))
    return 0 if changes.same else FOUND


def _show_list(before: Source, after: Source, dialect: str, build: str, form: str) -> int:
    from cfgaudit.cli.bench import Desk, diff_list, show_list
    from cfgaudit.cli.sources import read_sheet

    sheet = read_sheet(build)
    a, b = before.read(dialect, sheet), after.read(dialect, sheet)
    changes = cfgaudit.diff(a, b)
    show_list(form, *diff_list(Desk(build, dialect), a, b, sheet, changes))
    return 0 if changes.same else FOUND


def _by_dialect(before: Source, after: Source, dialect: str, build: str) -> tuple[DiffPaper, Comparison]:
    from cfgaudit.cli.heads import dump_head
    from cfgaudit.cli.sources import read_sheet
    from cfgaudit.report.paper import DiffPaper

    sheet = read_sheet(build) if build else None
    a, b = before.read(dialect, sheet), after.read(dialect, sheet)
    return DiffPaper(cfgaudit.__version__, dump_head(a), dump_head(b)), cfgaudit.diff(a, b)


def _by_lines(before: Source, after: Source) -> tuple[DiffPaper, Comparison]:
    from cfgaudit.cli.heads import plain_head
    from cfgaudit.compare.plain.compare import compare_plain, reordered
    from cfgaudit.compare.plain.lines import plain_sides
    from cfgaudit.report.paper import DiffPaper

    a, b = plain_sides(before.text(), after.text())
    heads = plain_head(a, b), plain_head(b, a, reordered(a, b))
    return DiffPaper(cfgaudit.__version__, *heads), compare_plain(a, b)
