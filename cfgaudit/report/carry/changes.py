"""The report of a firmware update: what becomes of the builder's own changes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from cfgaudit.compare.carry.arrived import Landed
from cfgaudit.compare.carry.carry import Plan
from cfgaudit.compare.carry.fate import Carried, Fate
from cfgaudit.compare.carry.three import NotTold, Side
from cfgaudit.compare.carry.words import told, unsaid_lines
from cfgaudit.compare.change import Weight
from cfgaudit.model.place import Origin
from cfgaudit.report.carry.paper import Update
from cfgaudit.report.carry.rows import Row, heading, origin_of, row_lines
from cfgaudit.report.carry.words import (
    OWN,
    doubt_words,
    doubtful,
    is_own,
    nearest_words,
    of_fate,
    otherwise_words,
    section_of,
    turned_out,
    weight_of,
)
from cfgaudit.report.finding import BLANK, LEVEL, labelled
from cfgaudit.report.safe import safe
from cfgaudit.report.style import Line, Role
from cfgaudit.report.words import counted, one_line, packed, wrapped

_SHORT = {Fate.CONFLICT: "CONFLICT", Fate.NOT_ALLOWED: "REFUSED", Fate.GONE: "GONE"}


def doubtful_lines(update: Update, show_all: bool) -> Iterator[Line]:
    """What a person has to decide, each with its places and what may be written instead."""
    plan = update.plan
    landed = {id(one.carried): one for arrival in update.arrival for one in arrival.landed}
    every = doubtful(plan)
    shown = [one for one in every if show_all or not is_own(one, plan)]
    if shown:
        yield heading(f"For you to decide: {counted(len(shown), 'change')} of yours")
        yield BLANK
    for one in shown:
        yield from _doubt(one, plan, [landed[id(one)]] if id(one) in landed else [])
    if len(shown) < len(every):
        own = counted(len(every) - len(shown), "setting")
        what = f"{own} of {plan.mine.dialect.name}'s own that you had changed: no counterpart"
        yield (("plain", f"{what} (--all lists them)"),)
        yield BLANK


def _doubt(one: Carried, plan: Plan, landed: list[Landed]) -> Iterator[Line]:
    hurts = weight_of(one.triple) is Weight.HURT
    role: Role = "error" if hurts else "warning"
    label = f"{_SHORT[one.fate]:<{LEVEL}}"
    first, *more = wrapped(doubt_words(one, plan), LEVEL)
    last = (("plain", "    "), ("warning", "! can hurt")) if hurts else ()
    yield ((role, label), ("strong", first), *(() if more else last))
    for n, line in enumerate(more, 1):
        yield (("strong", f"{' ' * LEVEL}{line}"), *(last if n == len(more) else ()))
    proposed = [(each.setting.origin, each.setting.line) for each in one.proposals]
    places = [("yours", *_written(one.triple.mine)), ("new", *_written(one.triple.new))]
    later = [("now", *_written(now.now)) for now in landed]
    wide = [
        where for where, text in (*proposed, *((where, text) for _, where, text in (*places, *later))) if text
    ]
    width = max((len(safe(str(where))) for where in wide), default=0)
    for word, where, text in places:
        yield from labelled(word, _place(where, text, width))
    for each, place in zip(one.proposals, proposed, strict=True):
        said = f"{each.setting.label}: {', '.join(each.why)}"
        yield from labelled("perhaps", [(("plain", one_line(said)),), *_place(*place, width)])
    yield from labelled("nearest", [(("plain", one_line(text)),) for text in nearest_words(one)])
    for word, where, text in later:
        yield from labelled(word, _place(where, text, width))
    if one.fate is not Fate.GONE:
        yield from labelled("outcome", [(("plain", one_line(turned_out(now))),) for now in landed])
    yield BLANK


def _place(where: Origin | str, text: str, width: int) -> Iterator[Line]:
    if text:
        yield (("quiet", f"{safe(str(where)):<{width}}   "), ("plain", one_line(text)))


def _written(side: Side) -> tuple[Origin | str, str]:
    return ("", "") if isinstance(side, NotTold) else (side.origin, side.line)


def unsaid_line(plan: Plan) -> Iterator[Line]:
    """What the builder's dump does not tell: unknown is not changed."""
    names = unsaid_lines(of_fate(plan, Fate.UNSAID), plan.mine)
    if names:
        yield heading("Your dump does not tell these, so they are left as the firmware comes")
        yield from ((("plain", f"  {line}"),) for line in wrapped(", ".join(names), 2))
        yield BLANK


def strange_lines(plan: Plan) -> Iterator[Line]:
    """Lines of the builder's that nobody understands."""
    if plan.strange:
        yield heading("Lines of yours that nobody here understands: they are not carried over")
        yield from row_lines(Row(str(one.place), plan.mine.shown(one)) for one in plan.strange)
        yield BLANK


def otherwise_lines(plan: Plan) -> Iterator[Line]:
    """What is carried over under another name, in another unit or into another range."""
    found = of_fate(plan, Fate.RENAMED, Fate.REWRITTEN)
    if found:
        yield heading(f"Carried over, written otherwise: {counted(len(found), 'setting')}")
        yield from row_lines(
            Row(
                one.triple.named.label,
                told(one.triple.mine),
                origin_of(one.triple.mine),
                otherwise_words(one),
            )
            for one in found
        )
        yield BLANK


def default_lines(plan: Plan) -> Iterator[Line]:
    """What the builder had changed and the new firmware comes with."""
    found = of_fate(plan, Fate.EQUAL)
    if found:
        yield heading(f"As the new firmware comes anyway: {counted(len(found), 'setting')}")
        yield from row_lines(
            Row(one.triple.named.label, told(one.triple.mine), origin_of(one.triple.mine)) for one in found
        )
        yield BLANK


def as_it_is_lines(plan: Plan, show_all: bool) -> Iterator[Line]:
    """What is carried over as it is: counted, or listed."""
    found = of_fate(plan, Fate.AS_IT_IS)
    if not found:
        return
    yield heading(
        f"Carried over as {'it is' if len(found) == 1 else 'they are'}: {counted(len(found), 'setting')}"
    )
    if show_all:
        yield from row_lines(
            Row(one.triple.named.label, told(one.triple.mine), origin_of(one.triple.mine)) for one in found
        )
    else:
        counts = Counter(section_of(one.triple) for one in found)
        listed = sorted(counts.items(), key=lambda one: (one[0] == OWN, one[0].lower()))
        names = [f"{name} {number}" for name, number in listed]
        texts = (*(f"{name}," for name in names[:-1]), *names[-1:])
        yield from ((("plain", f"  {line}"),) for line in packed((*texts, "(--all lists them)")))
    yield BLANK
