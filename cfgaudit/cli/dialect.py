"""cfgaudit dialect: the dialects at hand, checking one, teaching one."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

import cfgaudit
from cfgaudit.cli.dialect_draft import draft_command
from cfgaudit.cli.main import FOUND
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.dialect.teach.check import Check, DumpCheck
    from cfgaudit.dialect.teach.settle import Outcome
    from cfgaudit.dialect.teach.teach import Taught
    from cfgaudit.model.placed import Placed

_ASKED_MOST = 6  # questions that are shown


@click.group("dialect")
def command() -> None:
    """The firmwares that cfgaudit can read, and how to teach it another one.

    \b
    Example: cfgaudit dialect list
    """


@command.command("list")
def list_dialects() -> int:
    """All dialects in the box, one a line.

    \b
    Example: cfgaudit dialect list
    """
    from cfgaudit.cli.output import show
    from cfgaudit.dialect.shelf import shipped_dialects
    from cfgaudit.report.safe import safe

    every = shipped_dialects()
    wide = max((len(one.name) for one in every), default=0)
    show(safe(f"{one.name:<{wide}}  {one.family:<9}  {one.title}") for one in every)
    return 0


@command.command("check")
@click.argument("dialect", metavar="DIALECT")
@click.argument("dumps", nargs=-1, metavar="[DUMP]...")
def check_dialect(dialect: str, dumps: tuple[str, ...]) -> int:
    """Check DIALECT, a name or a YAML file, by its lessons and on dumps of its firmware.

    \b
    Example: cfgaudit dialect check mine.yaml before.txt after.txt
    """
    from cfgaudit.cli.output import show
    from cfgaudit.dialect.shelf import own_dialect
    from cfgaudit.dialect.teach.check import check
    from cfgaudit.report.safe import safe

    placed = _file(dialect)
    made = own_dialect(placed)
    checked = check(placed, made, [cfgaudit.read_dump(one, placed.file) for one in dumps])
    show(safe(line) for line in _check_lines(checked))
    return 0 if checked.sound else FOUND


@command.command("teach")
@click.option("--dialect", required=True, metavar="FILE", help="The dialect's YAML file.")
@click.argument("before")
@click.argument("after")
@click.option(
    "--fact",
    "facts",
    multiple=True,
    required=True,
    metavar="FACT",
    help="What was changed: 'ports.UART4.functions += displayport', 'battery.cell_warn_v = 3.5'.",
)
@click.option("--out", metavar="FILE", default="", help="Write a new file, and leave the old one as it is.")
def teach_dialect(dialect: str, before: str, after: str, facts: tuple[str, ...], out: str) -> int:
    """Teach a dialect by what you changed between the dumps BEFORE and AFTER.

    The lesson is kept in the dialect's file, with all that it settles; then comes what is still open,
    and which change would settle it best. Say what was there before too, if you know it:
    'osd.drive = displayport was chip'.

    \b
    Example: cfgaudit dialect teach --dialect mine.yaml before.txt after.txt
             --fact 'ports.UART4.functions += displayport'
    """
    from cfgaudit.cli.output import show
    from cfgaudit.dialect.shelf import own_dialect
    from cfgaudit.dialect.teach.fact import fact
    from cfgaudit.dialect.teach.teach import teach
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.dump.read import read_statements
    from cfgaudit.dump.text import decode
    from cfgaudit.model.placed import load
    from cfgaudit.report.safe import safe

    placed = load(dialect)
    family = own_dialect(placed).family
    told = [fact(text) for text in facts]
    old, new = (read_statements(decode(read_bytes(one), one), family) for one in (before, after))
    taught = teach(placed, old, new, told)
    said = [] if taught.refused else list(_write(placed, taught, out))
    show(safe(line) for line in (*_taught_lines(taught), *said))
    return FOUND if taught.refused else 0


def _file(dialect: str) -> Placed:
    from cfgaudit.model.placed import load
    from cfgaudit.shipped import shipped

    here = shipped("grammars") / f"{dialect}.yaml"
    return load(here if "/" not in dialect and here.is_file() else dialect)


# What is said


def _taught_lines(taught: Taught) -> Iterator[str]:
    from cfgaudit.dialect.teach.teach import explained

    lesson = taught.lesson
    yield lesson.said
    for changed in lesson.changed:
        yield f"  {explained(changed)}"
    for one, changed in taught.study.extra:
        if one.number == lesson.number and not taught.refused:
            yield f"  left alone, no fact explains it: {explained(changed)}"
    for note in taught.notes:
        yield f"  {note}"
    yield from _outcome_lines(taught.study.outcomes)
    if taught.refused:
        yield "nothing was written: take back the wrong lesson, or mend its facts"


def _outcome_lines(outcomes: tuple[Outcome, ...]) -> Iterator[str]:
    from cfgaudit.dialect.teach.settle import Status

    for one in outcomes:
        path = ".".join(one.shape)
        if one.status is Status.REFUTED:
            if len(one.against) == 1:
                yield f"refuted  {path}: no changed line explains {one.against[0].said}"
            else:
                yield f"refuted  {path}: these disagree: {'; '.join(each.said for each in one.against)}"
        elif one.status is Status.OPEN:
            yield f"open     {path}: {_counted(len(one.readings), 'reading')} left"
            for reading in one.readings[:3]:
                yield f"           {reading.said}"
        else:
            yield f"{one.status.value:<8} {path}: {one.chosen.said}"
    questions = [question for one in outcomes for question in one.questions]
    needed = [one.text for one in questions if one.needed]
    if needed:
        yield "to settle what is open:"
        yield from (f"  {text}" for text in needed[:_ASKED_MOST])
        if len(needed) > _ASKED_MOST:
            yield f"  and {len(needed) - _ASKED_MOST} more"
    elif outcomes:
        yield "all that these dumps hold of these paths is read"
        more = [one.text for one in questions]
        yield from (f"  other dumps may need: {text}" for text in more[:2])


def _check_lines(checked: Check) -> Iterator[str]:
    from cfgaudit.dialect.teach.settle import Status

    made = checked.dialect
    forms = sum(len(scope.forms) + len(scope.settings) for scope in made.scopes)
    yield f"{made.file}: {made.name}, {made.family}, {_counted(forms, 'kind')} of lines"
    lessons = dict.fromkeys(proof.lesson.number for proof in checked.proofs)
    if lessons:
        proved = sum(proof.given and not proof.wrong for proof in checked.proofs)
        facts = _counted(len(checked.proofs), "fact")
        yield f"{_counted(len(lessons), 'lesson')}: {proved} of {facts} proved again"
    for proof in checked.proofs:
        if proof.wrong:
            yield f"  {proof.lesson.said}: {proof.fact.text}: the dialect {proof.wrong}"
        elif not proof.given:
            yield f"  {proof.fact.text}: still open"
    for one in checked.refuted:
        yield f"  {'.'.join(one.shape)}: these disagree: {'; '.join(each.said for each in one.against)}"
    for dump in checked.dumps:
        yield from _dump_lines(dump)
    asked = [one.text for one in checked.questions if one.needed]
    yield from (f"teach next: {text}" for text in asked[:_ASKED_MOST])
    if any(one.status is Status.AGREED for one in checked.outcomes):
        paths = [".".join(one.shape) for one in checked.outcomes if one.status is Status.AGREED]
        yield f"right so far, and not settled: {', '.join(paths)}"
    yield "nothing is wrong" if checked.sound else "something is wrong"


def _dump_lines(dump: DumpCheck) -> Iterator[str]:
    yield f"{dump.file}: {dump.understood} of {_counted(dump.settings, 'line')} understood"
    yield from (f"  {one.place}: {one.text}" for one in dump.wrong)
    for one in dump.unread:
        yield f"  not understood: {_counted(one.count, 'line')} like {one.beginning}, first at {one.first}"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


# Writing


def _write(placed: Placed, taught: Taught, out: str) -> Iterator[str]:
    """Write the dialect's file whole or not at all; the old one stays beside it."""
    target = Path(out or placed.file)
    if out and os.path.lexists(target):
        raise Refusal("this file is there already", "name a new one", Place(out, 1))
    if taught.text == placed.text and not out:
        yield f"{target} says so already"
        return
    draft = target.with_name(f"{target.name}.{os.getpid()}.new")
    try:
        data = Path(placed.file).read_bytes()
        if not out:
            kept = _free(target)
            with kept.open("xb") as copy:
                copy.write(data)
        with draft.open("x", encoding="utf-8", newline="") as file:
            file.write(taught.text)
        if not out:
            draft.chmod(target.stat().st_mode)
        draft.replace(target)
    except OSError as error:
        draft.unlink(missing_ok=True)
        reason = error.strerror or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(str(target), 1)) from None
    yield f"written: {target}" + ("" if out else f"; as it was before: {kept}")


def _free(target: Path) -> Path:
    """A name for the file as it was, that nothing has."""
    names = (target.with_name(f"{target.name}.before{f'-{n}' if n > 1 else ''}") for n in range(1, 10_000))
    return next(one for one in names if not os.path.lexists(one))


command.add_command(draft_command)
