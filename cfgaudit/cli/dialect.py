"""cfgaudit dialect: the dialects at hand, checking one, teaching one."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

import cfgaudit
from cfgaudit.cli.dialect_draft import draft_command
from cfgaudit.cli.group import Group
from cfgaudit.cli.main import FOUND
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

if TYPE_CHECKING:
    from cfgaudit.dialect.teach.check import Check, DumpCheck
    from cfgaudit.dialect.teach.fact import Fact
    from cfgaudit.dialect.teach.settle import Study
    from cfgaudit.dialect.teach.teach import Taught
    from cfgaudit.dump.read import Dump
    from cfgaudit.model.placed import Placed

_ASKED_MOST = 6  # questions that are shown


@click.group("dialect", cls=Group)
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

    if dumps.count("-") > 1:
        raise Refusal("standard input cannot be two dumps", "name a file for one of them")
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
@click.option("--out", metavar="FILE", help="Write a new file, and leave the old one as it is.")
def teach_dialect(dialect: str, before: str, after: str, facts: tuple[str, ...], out: str | None) -> int:
    """Teach a dialect by what you changed between the dumps BEFORE and AFTER.

    The lesson is kept in the dialect's file, with all that it settles; then comes what is still open,
    and which change would settle it best. Say what was there before too, if you know it:
    'osd.drive = displayport was chip'.

    \b
    Example: cfgaudit dialect teach --dialect mine.yaml before.txt after.txt
             --fact 'ports.UART4.functions += displayport'
    """
    from cfgaudit.cli.output import show
    from cfgaudit.cli.own_file import refuse_if_there, write_again, write_new
    from cfgaudit.dialect.shelf import own_dialect
    from cfgaudit.dialect.teach.teach import teach
    from cfgaudit.model.placed import load
    from cfgaudit.report.safe import safe

    if before == after == "-":
        raise Refusal("standard input cannot be both BEFORE and AFTER", "name a file for one of them")
    if out is not None:
        refuse_if_there(out)
    placed = load(dialect)
    family = own_dialect(placed).family
    told = [_told(text) for text in facts]
    old, new = _spoken(before, family), _spoken(after, family)
    taught = teach(placed, old, new, told)
    if taught.refused:
        raise _refused(placed, taught, new)
    if out is not None:
        write_new(out, taught.text)
        said = f"written: {out}"
    elif taught.text == placed.text:
        said = f"{dialect} says so already"
    else:
        said = f"written: {dialect}; as it was before: {write_again(dialect, taught.text)}"
    show(safe(line) for line in (*_taught_lines(taught), said))
    return 0


def _told(text: str) -> Fact:
    """A fact from the command line, of a value that the model has. Raises Refusal."""
    from cfgaudit.dialect.teach.fact import UNTOLD, fact, may_be, words_of

    told = fact(text)
    if may_be(told.path, told.value) and (told.was is UNTOLD or may_be(told.path, told.was)):
        return told
    words = [str(word) for word in words_of(told.path)]
    mend = f"the model has {', '.join(words)}" if words else "see model.schema.json for what it may be"
    raise Refusal(f"{text!r} says what {'.'.join(told.path)} cannot be", mend)


def _spoken(name: str, family: str) -> Dump:
    """A dump's statements. Raises Refusal if it says nothing at all: no lesson is in that."""
    from cfgaudit.dump.capture import cleaned
    from cfgaudit.dump.file import read_bytes
    from cfgaudit.dump.read import read_statements
    from cfgaudit.dump.text import decode

    dump = read_statements(cleaned(decode(read_bytes(name), name)), family)
    if not dump.settings:
        raise Refusal("no line of this dump says anything", "dump again, all settings", Place(name, 1, 1))
    return dump


def _file(dialect: str) -> Placed:
    """A dialect's file, by its path or by the name of one in the box. Raises Refusal."""
    from cfgaudit.model.placed import load
    from cfgaudit.shipped import shipped

    here = {path.stem: path for path in shipped("grammars").glob("*.yaml")}
    if dialect in here:
        return load(here[dialect])
    if not (set(dialect) & set("/\\.") or os.path.lexists(dialect)):
        known = ", ".join(sorted(here))
        raise Refusal(f"no dialect {dialect!r}", f"use {known}, or the path of a dialect's YAML file")
    return load(dialect)


# What is said


def _taught_lines(taught: Taught) -> Iterator[str]:
    from cfgaudit.dialect.teach.teach import explained

    lesson = taught.lesson
    yield lesson.said
    for changed in lesson.changed:
        yield f"  {explained(changed)}"
    for one, changed in taught.study.extra:
        if one.number == lesson.number:
            yield f"  left alone, no fact explains it: {explained(changed)}"
    for note in taught.notes:
        yield f"  {note}"
    yield from _outcome_lines(taught.study)


def _refused(placed: Placed, taught: Taught, after: Dump) -> Refusal:
    """Why a lesson was not kept, at the earlier lesson that it contradicts, or at the line that changed."""
    from cfgaudit.dialect.teach.lesson import Lesson
    from cfgaudit.dialect.teach.settle import Status
    from cfgaudit.dialect.teach.teach import explained

    lesson = taught.lesson
    one = next(one for one in taught.study.outcomes if one.status is Status.REFUTED)
    others = [each for each in one.against if not isinstance(each, Lesson) or each.number != lesson.number]
    path = ".".join(one.shape)
    if others:
        numbers = [each.number for each in others if isinstance(each, Lesson)]
        place = placed.place(("lessons", numbers[0] - 1)) if numbers else Place(placed.file, 1, 1)
        what = f"{path}: these disagree: {'; '.join(each.said for each in one.against)}"
        return Refusal(what, "take back the one that is wrong, or mend its facts", place)
    changed = {each.after or each.before for each in lesson.changed}
    lines = (each.place for each in after.statements if each.shown in changed)
    shown = ", ".join(explained(each) for each in lesson.changed[:3])
    more = f" and {len(lesson.changed) - 3} more" if len(lesson.changed) > 3 else ""
    what = f"{path}: no changed line explains {lesson.said}: {shown}{more}"
    mend = "mend the fact, or make that change alone and dump again"
    return Refusal(what, mend, next(lines, Place(after.file, 1, 1)))


def _outcome_lines(study: Study) -> Iterator[str]:
    from cfgaudit.dialect.teach.settle import Status

    for one in study.outcomes:
        path = ".".join(one.shape)
        if one.status is Status.OPEN:
            yield f"open     {path}: {_counted(len(one.readings), 'reading')} left"
            for reading in one.readings[:3]:
                yield f"           {reading.said}"
        else:
            yield f"{one.status.value:<8} {path}: {one.chosen.said}"
    needed = [one.text for one in study.questions if one.needed]
    if needed:
        yield "to settle what is open:"
        yield from (f"  {text}" for text in needed[:_ASKED_MOST])
        if len(needed) > _ASKED_MOST:
            yield f"  and {len(needed) - _ASKED_MOST} more"
    elif study.outcomes:
        yield "all that these dumps hold of these paths is read"
        more = [one.text for one in study.questions]
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
    unread = sum(one.count for dump in checked.dumps for one in dump.unread)
    still = f"; {_counted(unread, 'line')} not understood yet" if unread else ""
    yield ("nothing is wrong" if checked.sound else "something is wrong") + still


def _dump_lines(dump: DumpCheck) -> Iterator[str]:
    yield f"{dump.file}: {dump.understood} of {_counted(dump.settings, 'line')} understood"
    yield from (f"  {one.place}: {one.text}" for one in dump.wrong)
    for one in dump.unread:
        yield f"  not understood: {_counted(one.count, 'line')} like {one.beginning}, first at {one.first}"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


command.add_command(draft_command)
