"""cfgaudit baseline: known-good configurations in git."""

from __future__ import annotations

import hashlib
import os
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

import cfgaudit
from cfgaudit.cli.baseline_check import command as check_command
from cfgaudit.cli.baseline_git import merge_command, private_command, setup_command, show_command
from cfgaudit.cli.complete import craft_names
from cfgaudit.cli.group import Group
from cfgaudit.cli.options import craft_option, dialect_option, key_option, project_option
from cfgaudit.cli.project import Named, Task, task_of
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.dialect.reading import Reading
    from cfgaudit.model.sheet import Build
    from cfgaudit.report.tally import Tally


@click.group("baseline", cls=Group)
def command() -> None:
    """Known-good configurations: record one, hold a fresh dump against it, keep it in git.

    \b
    Example: cfgaudit baseline record known-good.txt --craft otter --note "flew well at the weir"
    """


command.add_command(check_command)


@command.command("record")
@click.argument("dump", default="", metavar="[DUMP|CRAFT]", shell_complete=craft_names)
@craft_option("The craft of the project file that DUMP is of.")
@project_option()
@click.option("--build", default="", metavar="SHEET", help="The build sheet, where no project file names it.")
@click.option("--to", default="", metavar="FILE", help="The baseline's file, where no project file names it.")
@dialect_option()
@click.option("--note", default="", metavar="TEXT", help="A line of your own: why this is a good one.")
@key_option()
@click.option(
    "--keep-private", is_flag=True, help="Write private values as they are. git keeps them for good."
)
@click.option(
    "--over",
    is_flag=True,
    help="Write over what is newer, of another craft, no baseline, or what git could not give back.",
)
def record(
    dump: str,
    craft: str,
    project: str,
    build: str,
    to: str,
    dialect: str,
    note: str,
    key: str,
    keep_private: bool,
    over: bool,
) -> int:
    """Record DUMP as the known-good configuration of a craft.

    DUMP is a file, - or REV:path from git; the name of a craft stands for its dump. The baseline is a dump of
    its dialect in one stable order, with its facts in remarks. Private values are sealed: equal ones can
    still be told from others, with a key that stays outside the repository.

    \b
    Example: cfgaudit baseline record known-good.txt --craft otter --note "flew well at the weir"
    """
    from cfgaudit.baseline.facts import Facts
    from cfgaudit.baseline.file import write_whole
    from cfgaudit.baseline.guard import MEND, prove, why_not_over
    from cfgaudit.baseline.key import sealer_in, usual_key_file
    from cfgaudit.baseline.sealed import private_settings, sealed
    from cfgaudit.baseline.text import baseline_text
    from cfgaudit.cli.clock import now
    from cfgaudit.cli.output import say, show
    from cfgaudit.cli.sources import fetch, read_sheet
    from cfgaudit.report.foot import tally_spans
    from cfgaudit.report.safe import safe

    task = _task(Named(dump, build, dialect, craft, project), to)
    _refuse_in_place_of_its_own(task)
    sheet = read_sheet(task.build)
    source = fetch(task.dump)
    reading = source.read(task.dialect, sheet)
    private = private_settings(reading)
    counts = _counts(task, reading, sheet)
    kept = (
        reading
        if keep_private or not private
        else sealed(reading, sealer_in(key or usual_key_file(), make=True))
    )
    facts = Facts(
        craft=safe(task.craft or str(sheet.tree.get("craft", "craft not named"))),
        when=now().isoformat(),
        tool_version=cfgaudit.__version__,
        source="standard input" if task.dump == "-" else safe(os.path.basename(task.dump) or task.dump),
        digest=hashlib.sha256(source.data).hexdigest(),
        audited="".join(text for _, text in tally_spans(counts)),
        note=safe(" ".join(note.split())),
        seals=() if keep_private else private,
    )
    text = baseline_text(kept, facts, private=keep_private)
    prove(cfgaudit.read_dump(task.baseline, task.dialect, text.encode(), sheet), kept, private=keep_private)
    if not over and (reasons := [*why_not_over(task.baseline, reading, facts.craft, facts.when)]):
        raise Refusal(f"not written over: {'; '.join(reasons)}", MEND, Place(task.baseline, 1, 1))
    write_whole(task.baseline, text)
    show([safe(f"recorded in {task.baseline}: {reading.dump.settings} settings; {facts.audited}")])
    if any(counts.findings.values()):
        say("this baseline has findings: audit the dump and read them before you rely on it")
    if private:
        how = "written as they are, and git keeps them for good" if keep_private else "sealed"
        say(f"private values {how}: {', '.join(private)}")
    return 0


def _task(named: Named, to: str) -> Task:
    """The craft that is meant, with its baseline's file. Raises Refusal."""
    task = task_of(named)
    if to:
        return replace(task, baseline=to)
    if not task.baseline:
        mend = "write baseline below its name in the project file, or name one with --to FILE"
        raise Refusal(f"nothing says where the baseline of {task.craft or task.dump} is kept", mend)
    return task


def _refuse_in_place_of_its_own(task: Task) -> None:
    """A baseline is no dump as it was taken, and no sheet: it takes the place of neither. Raises Refusal."""
    for what, file in (("dump", task.dump), ("build sheet", task.build)):
        if os.path.exists(file) and os.path.exists(task.baseline) and os.path.samefile(file, task.baseline):
            mend = "name another file with --to, or in the project file"
            raise Refusal(
                f"the baseline would take the place of the {what}", mend, Place(task.baseline, 1, 1)
            )


def _counts(task: Task, reading: Reading, sheet: Build) -> Tally:
    """What an audit finds, counted."""
    from cfgaudit.cli.judging import judge_of
    from cfgaudit.report.tally import tally

    return tally(judge_of(task, sheet)(reading))


for _one in (show_command, merge_command, setup_command, private_command):
    command.add_command(_one)
