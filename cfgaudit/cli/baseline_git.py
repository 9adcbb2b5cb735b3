"""cfgaudit baseline show, merge, git-setup and private: what git and its hooks call."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from cfgaudit.cli.main import FAULT, FOUND
from cfgaudit.cli.options import dialect_option, project_option
from cfgaudit.cli.recorded import dialect_of_file, is_dump, literal, project_craft, read_recorded
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.baseline.merge import Merged


@click.command("show")
@click.argument("file")
@dialect_option()
def show_command(file: str, dialect: str) -> int:
    """List the settings of a baseline or dump, one a line, in words and in a stable order.

    This is what git compares once it is set up: see cfgaudit baseline git-setup. A text that cannot be read
    is printed as it is, below the reason, and the exit code is still 0.

    \b
    Example: cfgaudit baseline show baselines/otter.txt
    """
    from cfgaudit.cli.output import show
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.dump.text import decode
    from cfgaudit.report.baseline.listing import listing, raw

    data = read_bytes(literal(file))
    if not data.strip():
        return 0
    try:
        lines = [*listing(read_recorded(file, data, dialect))]
    except Refusal as refusal:
        try:
            text = decode(data, file).text
        except Refusal:
            text = data[:RAW_MOST].decode("ascii", "backslashreplace")
        lines = [*raw(text, refusal.what)]
    show(lines)
    return 0


RAW_MOST = 1_000_000  # bytes of a file that is no text


@click.command("merge")
@click.argument("base")
@click.argument("ours")
@click.argument("theirs")
@click.option(
    "--marker-size", type=click.IntRange(1, 1000), default=7, help="How long the conflict marks are."
)
@click.option("--path", default="", metavar="P", help="The file's name in the repository.")
def merge_command(base: str, ours: str, theirs: str, marker_size: int, path: str) -> int:
    """Merge three versions of a baseline by their settings, as git's merge driver. The result goes to OURS.

    What both sides changed differently is marked as git does it, and the exit code is 1. Texts that are no
    baselines of one firmware and version are merged by git itself, line by line.

    \b
    Example: cfgaudit baseline merge base.txt ours.txt theirs.txt
    """
    from cfgaudit.baseline.file import write_whole
    from cfgaudit.cli.output import say
    from cfgaudit.dump.file import read_bytes

    files = [literal(name) for name in (base, ours, theirs)]
    texts = [read_bytes(name) for name in files]
    try:
        made = _merged(texts, dialect_of_file(path))
    except Refusal as refusal:
        say(f"{path or ours}: merged line by line by git: {refusal.what}")
        return _by_git(files, marker_size)
    text = made.text(marker_size)
    write_whole(files[1], text.replace("\n", "\r\n") if b"\r\n" in texts[1] else text)
    if made.conflicts:
        lines = "one line" if made.conflicts == 1 else f"{made.conflicts} lines"
        mend = "keep one side between the marks, then git add it"
        say(f"{path or ours}: both sides changed {lines} differently; {mend}")
    return FOUND if made.conflicts else 0


def _merged(texts: list[bytes], dialect: str) -> Merged:
    """Raises Refusal where only git can merge them."""
    from cfgaudit.baseline.merge import merge, nothing_of, why_not

    mine, other = (read_recorded(name, data, dialect) for name, data in zip(SIDES, texts[1:], strict=True))
    known = texts[0].strip()
    base = read_recorded("the base", texts[0], dialect) if known else nothing_of(mine)
    if reason := why_not(base, mine, other):
        raise Refusal(reason, "merge them by hand")
    return merge(base, mine, other)


SIDES = ("ours", "theirs")


def _by_git(files: list[str], marker_size: int) -> int:
    """What git would do without a driver."""
    from cfgaudit.baseline.git import git

    base, ours, theirs = files
    labels = (part for label in ("ours", "base", "theirs") for part in ("-L", label))
    size = f"--marker-size={marker_size}"
    place = Place(ours, 1, 1)
    done = git("merge-file", "-q", size, *labels, *map(os.path.abspath, (ours, base, theirs)), place=place)
    return FOUND if done.returncode else 0


@click.command("git-setup")
@click.option("--write", is_flag=True, help="Do it; else it is only shown.")
@click.option(
    "--pattern",
    "patterns",
    multiple=True,
    metavar="P",
    help="Files that are meant, as .gitattributes writes it; else the baselines of the project file.",
)
@project_option()
def setup_command(write: bool, patterns: tuple[str, ...], project: str) -> int:
    """Have git compare and merge baselines by their settings: git diff, git log -p, git show, git merge.

    Which files are meant goes into .gitattributes and with the repository. What is run for them goes into
    the config of this clone, and each other clone is set up once by this command.

    \b
    Example: cfgaudit baseline git-setup --write
    """
    from cfgaudit.baseline.setup import steps, take, top_of
    from cfgaudit.cli.output import say, show
    from cfgaudit.report.baseline.git_setup import done_lines, todo_lines

    top = top_of(os.curdir)
    wanted = [*patterns]
    for file, pattern in _baselines(project, top) if not patterns else ():
        if pattern:
            wanted.append(pattern)
        else:
            say(f"{file} is not in this repository, and left out")
    if not wanted:
        raise Refusal(
            "the project file names no baseline in this repository",
            "write baseline below the name of a craft, or say which files: --pattern 'baselines/*.txt'",
        )
    if not sys.executable:
        raise Refusal("this Python does not know its own file", "run cfgaudit from a venv")
    todo = [*steps(top, wanted, sys.executable)]
    if write:
        take(top, todo)
        show(done_lines(top, todo))
    else:
        show(todo_lines(top, todo))
    return 0


def _baselines(project: str, top: str) -> Iterator[tuple[str, str]]:
    """The baselines of the project, each with its pattern in this repository."""
    from cfgaudit.baseline.setup import pattern_of

    for craft in project_craft(project):
        if craft.baseline:
            yield craft.baseline, pattern_of(craft.baseline, top)


@click.command("private")
@click.argument("files", nargs=-1, required=True)
@dialect_option("A dialect's name or file; else the headers tell.")
def private_command(files: tuple[str, ...], dialect: str) -> int:
    """Find private values in dumps that are to be committed: git keeps for good what it was once given.

    Sealed values are no longer private. Files that are no dumps are passed over. Each value is told by its
    place, and the exit code is 1 if there is one, or 2 if a file could not be read.

    \b
    Example: cfgaudit baseline private dumps/otter.txt dumps/heron.txt
    """
    from cfgaudit.cli.output import say, show

    lines: list[str] = []
    faults = 0
    for file in files:
        try:
            lines += _exposed_in(file, dialect)
        except Refusal as refusal:  # no reason to be silent about the others
            say(str(refusal))
            faults += 1
    show(lines)
    if faults:
        return FAULT
    return FOUND if lines else 0


def _exposed_in(file: str, dialect: str) -> Iterator[str]:
    from cfgaudit.baseline.exposed import exposed
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.report.safe import safe

    data = read_bytes(literal(file))
    if data[:2] in UTF16:  # nobody reads dumps in it, but git keeps them all the same
        data = data.decode("utf-16", "replace").encode("utf-8", "replace")
    named = dialect or dialect_of_file(file)
    if named or is_dump(data):
        for setting, place in exposed(read_recorded(file, data, named)):
            yield safe(f"{place}: {setting} holds a private value; {TAKE_OUT}")


UTF16 = (b"\xff\xfe", b"\xfe\xff")
TAKE_OUT = "take it out, or keep a baseline, which seals it: cfgaudit baseline record"
