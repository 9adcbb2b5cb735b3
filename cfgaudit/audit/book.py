"""The rule book: YAML files → rules. A rule that cannot be judged or has no failing case is refused."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path as File
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.audit.expression import RESERVED, ROOTS, Expression, check_truth
from cfgaudit.audit.fault import Fault
from cfgaudit.audit.finding import Level
from cfgaudit.audit.phrase import Phrase, phrase
from cfgaudit.audit.rule import Case, Loop, Rule, Wish
from cfgaudit.model.inside import inside
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, load, load_shipped, shown
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.schema import check
from cfgaudit.model.terms import Acceptance, LevelChange, Terms
from cfgaudit.shipped import shipped

Made = TypeVar("Made")
Route = tuple[str | int, ...]

_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def shipped_rules(cases: bool = False) -> tuple[Rule, ...]:
    """The rules in the box, with their cases if wanted; an audit goes without, since time counts."""
    files = sorted(shipped("rules").glob("*.yaml"))
    if cases:
        return tuple(rule for file in files for rule in rules_of(load(file)))
    all_placed = [load_shipped(file, frozenset({"cases"})) for file in files]
    # one environment for all: making one costs as much as compiling a dozen expressions
    names = tuple(sorted({name for placed in all_placed for name in _bound_names(placed)}))
    return tuple(rule for placed in all_placed for rule in rules_of(placed, names))


def rules_by(terms: Terms, folders: Iterable[str] = ()) -> tuple[Rule, ...]:
    """The rules in the box, those of the folders, and those of a user's terms, as one book.

    A folder that is named twice is read once. Raises Refusal if the terms speak of a rule that is not
    among them.
    """
    own: dict[str, tuple[Rule, ...]] = {}
    named = [*((folder, None) for folder in folders), *((one.path, one.place) for one in terms.folders)]
    for folder, place in named:
        whole = os.path.abspath(folder)
        own[whole] = own.get(whole) or own_rules(folder, place)
    every = book(shipped_rules(), *own.values())
    require_known(terms, every)
    return every


def require_known(terms: Terms, rules: Iterable[Rule]) -> None:
    """Raise a Refusal if the terms speak of a rule that is not among these."""
    spoken_of: tuple[Acceptance | LevelChange, ...] = (*terms.accepted, *terms.levels)
    known = {rule.id for rule in rules} if spoken_of else set()
    for said in spoken_of:
        if said.rule not in known:
            mend = f"{rule_meant(said.rule, known)} (rules of your own: name their folder)"
            raise Refusal(f"there is no rule {said.rule}", mend, said.place)


def own_rules(folder: str, place: Place | None = None) -> tuple[Rule, ...]:
    """The rules of a user's folder, checked against the rule schema; ``place`` is where it is named."""
    return tuple(rule for file in rule_files(folder, place) for rule in checked_rules(load(file)))


def rule_files(folder: str, place: Place | None = None) -> tuple[File, ...]:
    """The files of a user's folder of rules, by name. Raises Refusal if there are none."""
    files = sorted(File(folder).glob("*.yaml")) if os.path.isdir(folder) else []
    if not files:
        raise Refusal(f"no rules in {folder}", "name a folder that holds .yaml files with rules", place)
    return tuple(files)


def checked_rules(placed: Placed) -> tuple[Rule, ...]:
    """The rules of one file after its schema has accepted it."""
    import json
    from importlib import resources

    schema = json.loads(resources.files("cfgaudit.audit").joinpath("rule.schema.json").read_text("utf-8"))
    check(placed, schema, "rule file")
    return rules_of(placed)


def book(*parts: Iterable[Rule]) -> tuple[Rule, ...]:
    """Several lots of rules as one book.

    Raises Refusal on an id that comes twice, and on a rule that follows one that is not there.
    """
    by_id: dict[str, Rule] = {}
    for rule in (rule for part in parts for rule in part):
        if rule.id in by_id:
            first = by_id[rule.id].place
            raise Refusal(f"the rule {rule.id} is also at {first}", "give it another id", rule.place)
        by_id[rule.id] = rule
    for rule in by_id.values():
        for n, root in enumerate(rule.follows):
            if root not in by_id:
                where = rule.written.place((*rule.route, "follows", n))
                raise Refusal(f"there is no rule {shown(root)}", rule_meant(root, by_id), where)
    return tuple(by_id.values())


def rule_meant(id: str, known: Iterable[str]) -> str:
    """What to do about a rule that is not there: the one that was probably meant, or where to look."""
    import difflib

    near = difflib.get_close_matches(id, known, 1, 0.5)
    return f"did you mean {near[0]}?" if near else "cfgaudit rules list names them all"


def rules_of(placed: Placed, trusted: tuple[str, ...] | None = None) -> tuple[Rule, ...]:
    """The rules of one file. Raises Refusal with the place of what does not compile.

    ``trusted`` is for the rules in the box, which the tests have seen: their expressions are compiled
    when they are first needed, in one environment that declares these names, and a file that was read
    without its cases is taken as it is.
    """
    data: list[Any] = placed.data  # type: ignore[assignment]  # the schema: a list
    return tuple(_rule(placed, (n,), spec, trusted) for n, spec in enumerate(data))


def _bound_names(placed: Placed) -> Iterator[str]:
    data: list[Any] = placed.data  # type: ignore[assignment]  # the schema: a list
    return (loop.partition(" in ")[0].strip() for spec in data for loop in _listed(spec.get("each")))


def _rule(placed: Placed, route: Route, spec: Mapping[str, Any], trusted: tuple[str, ...] | None) -> Rule:
    loops = _listed(spec.get("each"))
    names = loop_names(placed, (*route, "each"), loops)
    at = spec.get("at", {})
    thorough = trusted is None
    make = Compiler(placed, names if trusted is None else trusted, thorough)
    cases = tuple(_cases(placed, route, spec))
    if thorough and not any(case.answer == "fails" for case in cases):
        where = placed.place(route)
        raise Refusal(f"the rule {spec['id']} has no case that fails", "add one under cases", where)
    return Rule(
        id=spec["id"],
        level=Level(spec["level"]),
        title=spec["title"],
        each=tuple(
            Loop(name, make.loop(text, (*route, "each", n), names[:n]))
            for n, (name, text) in enumerate(zip(names, loops, strict=True))
        ),
        needs=make.paths(spec, "needs", route, names),
        when=make.expression(spec["when"], (*route, "when")) if "when" in spec else None,
        expect=make.expression(spec["expect"], (*route, "expect")),
        say=make.phrase(_Text(spec["say"], (*route, "say"))),
        declared=make.paths(at, "declared", (*route, "at"), names),
        found=make.paths(at, "found", (*route, "at"), names),
        about=make.phrases(spec, "about", route),
        follows=tuple(_listed(spec.get("follows"))),
        mend=tuple(
            make.wish(path, value, (*route, "mend", path)) for path, value in spec.get("mend", {}).items()
        ),
        hazard=spec.get("hazard", ""),
        why=" ".join(spec["why"].split()),
        basis=" ".join(spec["basis"].split()),
        never_accept=" ".join(spec.get("never_accept", "").split()),
        cases=cases,
        vocabulary=make.names,
        written=placed,
        route=route,
    )


def loop_names(placed: Placed, route: Route, loops: Iterable[str]) -> tuple[str, ...]:
    """The names that loops bind, the outermost first. Raises Refusal on what is no loop, or a name taken."""
    names: list[str] = []
    for n, text in enumerate(loops):
        name, joint, path = (part.strip() for part in text.partition(" in "))
        here = (*route, n)
        if not (joint and path and _NAME.fullmatch(name)):
            mend = "write it as “device in build.devices”"
            raise Refusal(f"{shown(text)!r} is no loop", mend, placed.place(here))
        if name in (*ROOTS, *names, *RESERVED):
            what = f"the loop's name {shown(name)!r} is taken"
            raise Refusal(what, "choose another one", placed.place(here))
        names.append(name)
    return tuple(names)


def _cases(placed: Placed, route: Route, spec: Mapping[str, Any]) -> Iterator[Case]:
    for n, entry in enumerate(spec.get("cases", ())):
        ((answer, case),) = entry.items()
        yield Case(
            answer,
            case.get("model", {}),
            case.get("build", {}),
            case.get("reading", {}),
            str(case.get("says", case.get("missing", ""))),
            placed.place((*route, "cases", n, answer)),
        )


class _Text(Struct, frozen=True):
    """A text of a rule, and where it is: a part of the value at a route, or of the key, after ``lead``.

    Its place in the file is looked for when something is wrong with it: that takes time.
    """

    text: str
    route: Route
    is_key: bool = False
    lead: str = ""

    def after(self, lead: str) -> _Text:
        """What is left of the text after its first part."""
        return replace(self, text=self.text[len(lead) :], lead=self.lead + lead)

    def start(self, placed: Placed) -> Place:
        """Where the whole text starts."""
        return placed.keys[self.route] if self.is_key else placed.place(self.route)

    def place(self, placed: Placed, offset: int) -> Place:
        """Where the character at an offset of the text stands."""
        return inside(placed, self.start(placed), self.lead + self.text, len(self.lead) + offset)


class Compiler:
    """Compiles the expressions of one rule; a fault becomes a refusal with line and column."""

    def __init__(self, placed: Placed, names: tuple[str, ...], thorough: bool) -> None:
        self.placed = placed
        self.names = names
        self.thorough = thorough  # compile every expression now, to find the fault in any of them

    def expression(self, text: str, route: Route) -> Expression:
        made = Expression(text, self.names, not self.thorough)
        if self.thorough:
            self._sound(_Text(text, route), lambda: check_truth(made))
        return made

    def phrase(self, whole: _Text) -> Phrase:
        folded = replace(whole, text=" ".join(whole.text.split()))
        made = self._sound(folded, lambda: phrase(folded.text, self.names, not self.thorough))
        if self.thorough:
            for part, start in zip(made.parts, made.starts, strict=True):
                if isinstance(part, Expression):
                    self._sound(folded.after(folded.text[:start]), lambda part=part: part.program)  # type: ignore[misc]
        return made

    def phrases(self, spec: Mapping[str, Any], key: str, route: Route) -> tuple[Phrase, ...]:
        return tuple(
            self.phrase(_Text(text, (*route, key, n))) for n, text in enumerate(_listed(spec.get(key)))
        )

    def path(self, whole: _Text, bound: tuple[str, ...]) -> Phrase:
        """A path from one of the trees, or from a name that is bound by then."""
        made = self.phrase(whole)
        start = made.start
        if self.thorough and start and start not in (*ROOTS, *bound):
            mend = f"begin it with {', '.join(ROOTS)} or the name of a loop that stands before it"
            raise Refusal(f"{shown(start)!r} is no start of a path", mend, whole.start(self.placed))
        return made

    def loop(self, text: str, route: Route, bound: tuple[str, ...]) -> Phrase:
        """The path that a loop goes through."""
        name, joint, _ = text.partition(" in ")
        return self.path(_Text(text, route).after(name + joint), bound)

    def paths(
        self, spec: Mapping[str, Any], key: str, route: Route, bound: tuple[str, ...]
    ) -> tuple[Phrase, ...]:
        return tuple(
            self.path(_Text(text, (*route, key, n)), bound) for n, text in enumerate(_listed(spec.get(key)))
        )

    def wish(self, path: str, value: Any, route: Route) -> Wish:
        key = _Text(path, route, is_key=True)
        target = self.phrase(key)
        if target.start in ROOTS:
            what = f"what is mended is the model, and {shown(path)!r} begins with {target.start!r}"
            raise Refusal(what, "begin with a section of the model: arming.checks", key.start(self.placed))
        if not isinstance(value, str):
            return Wish(target, "=", value)
        whole = _Text(value, route)
        operator, blank, rest = value.partition(" ")
        if operator in ("+", "-") and rest:
            return Wish(target, operator, self.phrase(whole.after(operator + blank)))
        return Wish(target, "=", self.phrase(whole))

    def _sound(self, whole: _Text, make: Callable[[], Made]) -> Made:
        try:
            return make()
        except Fault as fault:
            raise Refusal(fault.what, fault.mend, whole.place(self.placed, fault.offset)) from None


def _listed(value: Any) -> list[str]:
    if value is None:
        return []
    return [str(one) for one in value] if isinstance(value, list) else [str(value)]
