"""One rule against the evidence: three answers, subject by subject."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice

from msgspec import Struct

from cfgaudit.audit.evidence import Evidence, without_missing
from cfgaudit.audit.expression import Surroundings, surroundings, truth
from cfgaudit.audit.fault import Fault
from cfgaudit.audit.finding import Finding, Mend, NotJudged, Sight
from cfgaudit.audit.phrase import Phrase
from cfgaudit.audit.rule import Rule, Wish
from cfgaudit.derive.missing import Figure, Missing
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.place import Place
from cfgaudit.model.value import Json, Value

SUBJECTS_MOST = 300  # of one rule; an aircraft has some dozens of anything
SIGHTS_MOST = 12  # lines that one finding points at; the sentence says how many there are


class Holds(Struct, frozen=True):
    """The rule holds for a subject, or is not about it."""


class Fails(Struct, frozen=True):
    """The rule fails for a subject; ``about`` are the tags by which findings hang together."""

    finding: Finding
    about: frozenset[str]
    follows: tuple[str, ...]


Judgement = Holds | Fails | NotJudged


class Bound(Struct, frozen=True):
    """A name's value and where in the trees it stands.

    ``known_as`` is the path with names in place of numbers in a list, so that a thing is called the
    same when others are listed before it.
    """

    value: Figure
    path: Path
    known_as: Path


class Open(Struct, frozen=True):
    """A path that leads nowhere: what is missing, and where it would be written."""

    path: Path
    reason: str


def judge(rule: Rule, evidence: Evidence) -> Iterator[Judgement]:
    """Judge a rule for each of its subjects."""
    subjects = _subjects(rule, evidence, {})
    for subject in islice(subjects, SUBJECTS_MOST):
        if isinstance(subject, NotJudged):
            yield subject
        elif isinstance(subject, Open):
            yield _not_judged(rule, evidence, "", subject)
        else:
            yield _judged(rule, evidence, subject)
    if next(subjects, None):
        what = f"of more than {SUBJECTS_MOST:,} to go through only the first {SUBJECTS_MOST:,} were judged"
        yield NotJudged(rule.id, rule.title, "", what, None)


def _subjects(
    rule: Rule, evidence: Evidence, bound: Mapping[str, Bound]
) -> Iterator[Mapping[str, Bound] | Open | NotJudged]:
    """Every way to bind the loops' names, the first loop outermost."""
    if len(bound) == len(rule.each):
        yield bound
        return
    loop = rule.each[len(bound)]
    try:
        through = resolve(loop.path.path(_around(rule, evidence, bound)), evidence, bound)
    except Fault as fault:
        yield _faulty(rule, "", fault, "each")
        return
    if isinstance(through, Open):
        yield through
        return
    if not isinstance(through.value, list | dict):
        single = Fault(f"{dotted(through.path)} is neither a list nor keys and values")
        yield _faulty(rule, "", single, "each")
        return
    for entry in entries(through):
        yield from _subjects(rule, evidence, {**bound, loop.name: entry})


def entries(through: Bound) -> Iterator[Bound]:
    """The entries of a list, or of keys and values with each key as ``id``."""
    if isinstance(through.value, dict):
        for key, value in through.value.items():
            inner: dict[str, Figure] = value if isinstance(value, dict) else {"value": value}
            yield Bound({"id": key, **inner}, (*through.path, key), (*through.known_as, key))
    elif isinstance(through.value, list):
        for n, value in enumerate(through.value):
            name = _named(value) or str(n)
            yield Bound(value, (*through.path, str(n)), (*through.known_as, name))


def _named(value: Figure) -> str:
    """What a list's entry is called: a word by itself, a device by its name, a doubt by its setting."""
    if isinstance(value, dict):
        value = value.get("name") or value.get("setting")
    return value if isinstance(value, str) else ""


def _judged(rule: Rule, evidence: Evidence, bound: Mapping[str, Bound]) -> Judgement:
    around = _around(rule, evidence, bound)
    subject = _subject(rule, bound, around)
    try:
        if rule.when and not truth(rule.when, around):
            return Holds()
    except Fault as fault:
        return _first_open(rule, evidence, bound, around, subject) or _faulty(rule, subject, fault, "when")
    if missing := _first_open(rule, evidence, bound, around, subject):
        return missing
    try:
        if truth(rule.expect, around):
            return Holds()
    except Fault as fault:
        return _faulty(rule, subject, fault, "expect")
    try:
        return _failed(rule, evidence, bound, around, subject)
    except Fault as fault:
        return _faulty(rule, subject, fault, "say")


def _around(rule: Rule, evidence: Evidence, bound: Mapping[str, Bound]) -> Surroundings:
    values = {name: without_missing(one.value) for name, one in bound.items()}
    return surroundings(evidence.cut(rule.mentions), values, rule.vocabulary)


def _first_open(
    rule: Rule, evidence: Evidence, bound: Mapping[str, Bound], around: Surroundings, subject: str
) -> NotJudged | None:
    for need in rule.needs:
        try:
            found = resolve(need.path(around), evidence, bound)
        except Fault:
            continue  # a need that hangs on an earlier one, which is the one to report
        if isinstance(found, Open):
            return _not_judged(rule, evidence, subject, found)
    return None


def resolve(path: Path, evidence: Evidence, bound: Mapping[str, Bound]) -> Bound | Open:
    """Follow a path from a tree or a bound name."""
    start = bound.get(path[0])
    value, root = (start.value, start.path) if start else (evidence.root(path[0]), (path[0],))
    whole = (*root, *path[1:])
    for key in path[1:]:
        if isinstance(value, dict) and key in value:
            value = value[key]
        elif isinstance(value, list) and key.isdigit() and int(key) < len(value):
            value = value[int(key)]
        else:
            return Open(whole, "")
        if isinstance(value, Missing):
            return Open(tuple(value.needs[0].split(".")) if value.needs else whole, value.reason)
    return Bound(value, whole, (*start.known_as, *path[1:]) if start else whole)


def _not_judged(rule: Rule, evidence: Evidence, subject: str, gap: Open) -> NotJudged:
    root, path = gap.path[0], gap.path[1:]
    if root == "model" and (owed := evidence.source.owed(path)):
        root, path = "build", owed
    where = evidence.source.where_to_declare(path) if root == "build" else None
    said = {
        "model": f"the dump does not say {dotted(path)}",
        "build": f"the build sheet does not declare {dotted(path)}",
    }
    missing = gap.reason or said.get(root, f"nothing is known of {dotted(path)}")
    return NotJudged(rule.id, rule.title, subject, missing, where, path if root == "build" else ())


def _faulty(rule: Rule, subject: str, fault: Fault, key: str) -> NotJudged:
    where = rule.written.place((*rule.route, key))
    return NotJudged(rule.id, rule.title, subject, f"the rule itself fails: {fault.what}", where)


def _failed(
    rule: Rule,
    evidence: Evidence,
    bound: Mapping[str, Bound],
    around: Surroundings,
    subject: str,
) -> Fails:
    declared = tuple(_pointed(rule.declared, bound, around))
    found = tuple(_pointed(rule.found, bound, around))
    subjects = tuple(one.path for one in [*bound.values()][-1:])
    finding = Finding(
        rule=rule.id,
        level=rule.level,
        title=rule.title,
        subject=subject,
        text=rule.say.said(around),
        why=rule.why,
        basis=rule.basis,
        hazard=rule.hazard,
        declared=tuple(_sights(declared, evidence)),
        found=tuple(_sights(found, evidence)),
        mend=_mend(rule, evidence, around),
        figures=rule.say.figures(around),
        paths=tuple(dict.fromkeys((*subjects, *found, *declared))),
    )
    return Fails(finding, frozenset(phrase.said(around) for phrase in rule.about), rule.follows)


def _subject(rule: Rule, bound: Mapping[str, Bound], around: Surroundings) -> str:
    """What the judgement is about: the innermost loop's entry, else the first place it points at."""
    if bound:
        return dotted([*bound.values()][-1].known_as)
    for phrase in (*rule.found, *rule.declared):
        try:
            return dotted(phrase.path(around))
        except Fault:
            continue
    return ""


def _pointed(phrases: tuple[Phrase, ...], bound: Mapping[str, Bound], around: Surroundings) -> Iterator[Path]:
    """The places that phrases name, as whole paths from a tree's root."""
    for phrase in phrases:
        try:
            path = phrase.path(around)
        except Fault:
            continue  # a place that hangs on a value which this subject does not have
        yield (*bound[path[0]].path, *path[1:]) if path[0] in bound else path


def _sights(paths: tuple[Path, ...], evidence: Evidence) -> Iterator[Sight]:
    seen = set()
    for path in paths:
        for sight in _sights_at(path, evidence):
            at = sight.origin
            line = (at.file, at.line) if isinstance(at, Place) else at  # a line is shown once
            if line not in seen:
                seen.add(line)
                yield sight


def _sights_at(path: Path, evidence: Evidence) -> Iterator[Sight]:
    if path[:2] == ("derived", "reading"):
        at = resolve(path, evidence, {})
        told = at.value if isinstance(at, Bound) else None
        for one in told[:SIGHTS_MOST] if isinstance(told, list) else [told]:
            for key in ("first", "line", "last") if isinstance(one, dict) else ():
                number = one.get(key)  # type: ignore[union-attr]
                if isinstance(number, int):
                    yield from filter(None, [evidence.source.line(number)])
    else:
        look = {"model": evidence.source.found, "build": evidence.source.declared}.get(path[0])
        yield from filter(None, [look(path[1:]) if look else None])


def _mend(rule: Rule, evidence: Evidence, around: Surroundings) -> Mend:
    wanted: dict[Path, Value] = {}
    try:
        for wish in rule.mend:
            path = wish.path.path(around)
            wanted[path] = _wished(wish, wanted.get(path, _held(evidence, path)), around)
    except Fault as fault:
        return Mend((), (), f"the rule's mend fails: {fault.what}")
    wanted = {path: value for path, value in wanted.items() if _held(evidence, path) != value}
    if not wanted:
        return Mend((), ())
    written = evidence.source.lines(wanted)
    if not written.complete:
        return Mend((), (), "; ".join(written.cannot), tuple(wanted.items()))
    return Mend(written.lines, written.undo, "", tuple(wanted.items()), written.wait)


def _held(evidence: Evidence, path: Path) -> Value:
    held: Json = dict(evidence.model)
    for key in path:
        held = held.get(key) if isinstance(held, dict) else None
    if isinstance(held, list):
        return tuple(one for one in held if isinstance(one, bool | int | float | str))
    return held if isinstance(held, bool | int | float | str) else ()


def _wished(wish: Wish, held: Value, around: Surroundings) -> Value:
    """The value that a path should have. Raises Fault on what no setting can have."""
    meant = wish.value.meant(around) if isinstance(wish.value, Phrase) else wish.value
    listed = meant if isinstance(meant, list) else [meant]
    changed = tuple(one for one in listed if isinstance(one, bool | int | float | str))
    if len(changed) < len(listed):
        raise Fault("gives no value that a setting can have")
    if wish.operator == "=":
        return changed if isinstance(meant, list) else changed[0]
    words = held if isinstance(held, tuple) else ()
    if wish.operator == "+":
        return (*words, *(word for word in changed if word not in words))
    return tuple(word for word in words if word not in changed)
