"""Findings and changes → the steps that a careful builder does at the bench, in their order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.audit.bench.call import Call
from cfgaudit.audit.bench.guide import CALLS, Guide, Template
from cfgaudit.audit.bench.step import Step
from cfgaudit.audit.evidence import Evidence, without_missing
from cfgaudit.audit.expression import Expression, Surroundings, surroundings, truth
from cfgaudit.audit.fault import Fault
from cfgaudit.audit.judge import Bound, entries, resolve
from cfgaudit.audit.phrase import Phrase
from cfgaudit.model.path import Path
from cfgaudit.model.value import Json

Here = Mapping[str, Json]  # what the guide's expressions see as ``here``


def bench(guide: Guide, calls: Iterable[Call], seen: Evidence, here: Here) -> tuple[Step, ...]:
    """The steps for these findings and changes, and those that are always done.

    ``seen`` is the configuration as it shall be when the steps are done: with the mends. ``here``
    holds the names of files and the commands to type. What no step of the guide looks at goes to
    those that are for everything else.
    """
    calls = tuple(calls)
    desk = _Desk(guide, seen, here)
    plain = [one for one in guide.templates if not one.otherwise]
    made = [step for one in plain for step in _steps(desk, one, calls)]
    looked_at = {call for step in made for call in step.looks}
    left = tuple(call for call in calls if call not in looked_at)
    for one in guide.templates:
        if one.otherwise and left:
            made += _steps(desk, one, left)
    return tuple(one.step for one in sorted(made, key=desk.order))


class _Row(Struct, frozen=True):
    """An entry of a step's loop: its words, what calls for it, and whether it is done elsewhere."""

    text: str
    calls: tuple[Call, ...]
    later: bool


class _Made(Struct, frozen=True):
    """A step, and what it needs to find its place among the others."""

    step: Step
    template: Template
    later: bool
    looks: tuple[Call, ...]  # those that it is about


class _Desk(Struct, frozen=True):
    """What all steps are made from."""

    guide: Guide
    seen: Evidence
    here: Here

    def around(self, template: Template, calls: Sequence[Call], **bound: Json) -> Surroundings:
        """The data for a template's expressions."""
        given: dict[str, Json] = {"here": dict(self.here), CALLS: [call.tree for call in calls], **bound}
        return surroundings(self.seen.cut(self.guide.mentions), given, template.vocabulary)

    def order(self, made: _Made) -> tuple[int, int, int]:
        """Stages by number, steps as the guide has them; what is done later comes after its step."""
        places = {one.name: n for n, one in enumerate(self.guide.templates)}
        own = places[made.template.name]
        if made.later and made.template.later:
            aim = self.guide.templates[places[made.template.later.after]]
            return (aim.stage, places[aim.name], own + 1)
        return (made.template.stage, own, 0)


def _steps(desk: _Desk, template: Template, calls: Sequence[Call]) -> Iterator[_Made]:
    """The template's step; two of them if some of its rows are done later; none if nothing calls for it."""
    whole = tuple(call for call in calls if _is_wanted(desk, template, call))
    around = desk.around(template, whole)
    if template.each is None and template.when and not _holds(template.when, around):
        return
    rows = [*_rows(desk, template, calls, whole)]
    if not (template.always or whole or rows):
        return
    apart = bool(rows) or template.later is None
    postponed = not apart and template.later is not None and _holds(template.later.when, around)
    parts = [(False, [row for row in rows if not row.later]), (True, [row for row in rows if row.later])]
    for later, part in parts if rows else [(postponed, rows)]:
        if part or not rows:
            yield _made(desk, template, around, whole, part, later)


def _made(
    desk: _Desk,
    template: Template,
    around: Surroundings,
    whole: tuple[Call, ...],
    rows: Sequence[_Row],
    later: bool,
) -> _Made:
    own = tuple(dict.fromkeys(call for row in rows for call in row.calls))
    where = template
    if later and template.later:
        where = next(one for one in desk.guide.templates if one.name == template.later.after)
    step = Step(
        name=template.name,
        stage=desk.guide.stages[where.stage],
        do=_said(template.do, around),
        see=_said(template.see, around),
        if_not=_said(template.if_not, around),
        rows=tuple(row.text for row in rows if row.text),
        lines=tuple(_lines(template.type, around)),
        calls=tuple(dict.fromkeys((*whole, *own))),
    )
    looks = (*(whole if template.wanted.looks else ()), *(own if not template.through_calls else ()))
    return _Made(step, template, later, looks)


# What calls for a step


def _is_wanted(desk: _Desk, template: Template, call: Call) -> bool:
    wanted = template.wanted
    if any(_names(pattern, rule) for pattern in wanted.but for rule in call.rules[:1]):
        return False
    by_rule = any(_names(pattern, rule) for pattern in wanted.rules for rule in call.rules)
    named = template.otherwise or by_rule or any(_touches(call, path) for path in wanted.paths)
    if wanted.when is None:
        return named
    return (named or not wanted.looks) and _holds(wanted.when, desk.around(template, (), call=call.tree))


def _names(pattern: str, rule: str) -> bool:
    """Whether a pattern is this rule's id, or its subject with ``/*``."""
    return pattern == rule or (pattern.endswith("/*") and rule.startswith(pattern[:-1]))


def _touches(call: Call, path: Path) -> bool:
    return any(one[: len(path)] == path for one in call.paths)


# Rows


def _rows(desk: _Desk, template: Template, calls: Sequence[Call], whole: tuple[Call, ...]) -> Iterator[_Row]:
    """The entries that the step is done to: all of them, or those that something calls for."""
    for entry, reason in _entries(desk, template, whole):
        bound = {} if template.each is None else {template.each.name: without_missing(entry.value)}
        around = desk.around(template, whole, **bound)
        if template.when and not _holds(template.when, around):
            continue
        about = [*_about(template, entry, around)]
        own = reason or tuple(call for call in calls if any(_touches(call, path) for path in about))
        if own or template.always or whole:
            later = template.later is not None and _holds(template.later.when, around)
            yield _Row(_row_text(template.row, around), own, later)


def _entries(
    desk: _Desk, template: Template, whole: tuple[Call, ...]
) -> Iterator[tuple[Bound, tuple[Call, ...]]]:
    """The entries of the loop; of the loop through calls, each with the call that it is."""
    if template.each is None:
        return
    if template.through_calls:
        for call in whole:
            yield Bound(call.tree, (CALLS,), (CALLS,)), (call,)  # type: ignore[arg-type]  # JSON is a Figure
        return
    through = resolve(tuple(template.each.path.text.split(".")), desk.seen, {})
    if isinstance(through, Bound) and isinstance(through.value, list | dict):
        for entry in entries(through):
            value = entry.value
            if isinstance(value, dict) and isinstance(value.get("id"), str):
                value = {"called": str(value["id"]).replace("_", " "), **value}
            yield Bound(value, entry.path, entry.known_as), ()


def _about(template: Template, entry: Bound, around: Surroundings) -> Iterator[Path]:
    """The paths of the row, those that begin with the loop's name from where the entry stands."""
    name = template.each.name if template.each else ""
    for phrase in template.about:
        try:
            path = phrase.path(around)
        except Fault:
            continue  # it hangs on a figure that this entry does not have
        yield (*entry.path, *path[1:]) if path[0] == name else path


# Words


def _holds(expression: Expression, around: Surroundings) -> bool:
    """Whether it is known to be true."""
    try:
        return truth(expression, around)
    except Fault:
        return False


def _said(sentences: Iterable[Phrase], around: Surroundings) -> str:
    """The sentences that can be said, as one text."""
    return " ".join(_parts(sentences, around))


def _parts(phrases: Iterable[Phrase], around: Surroundings) -> Iterator[str]:
    for phrase in phrases:
        try:
            said = phrase.said(around).strip(" ")
        except Fault:
            continue  # a figure in it is not known
        if said:
            yield said


def _row_text(phrases: Iterable[Phrase], around: Surroundings) -> str:
    """``motor 3: rear left, pad M3``."""
    first, *rest = [*_parts(phrases, around)] or [""]
    return f"{first}: {', '.join(rest)}" if rest else first


def _lines(phrases: Iterable[Phrase], around: Surroundings) -> Iterator[str]:
    for phrase in phrases:
        try:
            meant = phrase.meant(around)
        except Fault:
            continue
        yield from map(str, meant if isinstance(meant, list) else [meant])
