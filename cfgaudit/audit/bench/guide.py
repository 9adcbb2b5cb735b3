"""The bench guide: YAML files → stages and templates of steps.

A file is a stage. Those of the box are in ``rules/bench/``; a folder with rules of a user's own may
have a ``bench/`` too, whose steps come after those of the box in the same stage.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path as File
from typing import Any

from msgspec import Struct

from cfgaudit.audit.bench.step import Stage
from cfgaudit.audit.book import Compiler, Route, loop_names
from cfgaudit.audit.expression import Expression, Mention
from cfgaudit.audit.phrase import Phrase
from cfgaudit.audit.rule import Loop
from cfgaudit.model.path import Path, parse
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, load, load_shipped, shown
from cfgaudit.model.refusal import Refusal
from cfgaudit.shipped import shipped

CALLS = "calls"  # the root of the loop through findings and changes
GIVEN = (CALLS, "call", "here")  # the names that expressions may use beside the loop's


class Wanted(Struct, frozen=True):
    """The findings and changes that call for a step."""

    rules: tuple[str, ...] = ()
    but: tuple[str, ...] = ()
    paths: tuple[Path, ...] = ()
    when: Expression | None = None

    @property
    def looks(self) -> bool:
        """Whether it picks them for what they are about, not only for how they are mended."""
        return bool(self.rules or self.paths)


class Later(Struct, frozen=True):
    """Rows that are done right after another step."""

    after: str
    when: Expression


class Template(Struct, frozen=True):
    """A step as the guide has it: ``guide.schema.json`` says what each part means."""

    name: str
    stage: int
    place: Place
    vocabulary: tuple[str, ...]  # the names that its expressions may use
    always: bool
    otherwise: bool
    wanted: Wanted
    each: Loop | None
    when: Expression | None
    about: tuple[Phrase, ...]
    row: tuple[Phrase, ...]
    do: tuple[Phrase, ...]
    type: tuple[Phrase, ...]
    see: tuple[Phrase, ...]
    if_not: tuple[Phrase, ...]
    later: Later | None

    @property
    def through_calls(self) -> bool:
        """Whether its rows are the findings and changes themselves."""
        return self.each is not None and self.each.path.text == CALLS

    @property
    def phrases(self) -> tuple[Phrase, ...]:
        """All of its texts."""
        loop = () if self.each is None or self.through_calls else (self.each.path,)
        return (*loop, *self.about, *self.row, *self.do, *self.type, *self.see, *self.if_not)

    @property
    def expressions(self) -> tuple[Expression, ...]:
        """All that is reckoned for it."""
        conditions = (self.wanted.when, self.when, self.later and self.later.when)
        parts = (part for phrase in self.phrases for part in phrase.expressions)
        return (*(one for one in conditions if one), *parts)


class Guide(Struct, frozen=True, dict=True):
    """All stages and templates, in their order."""

    stages: Mapping[int, Stage]
    templates: tuple[Template, ...]

    @cached_property
    def mentions(self) -> frozenset[Mention]:
        """The branches of model, build and derived figures that its expressions look at."""
        return frozenset(
            mention
            for one in self.templates
            for expression in one.expressions
            for mention in expression.mentions
        )

    @property
    def sections(self) -> frozenset[str]:
        """The derived sections that it needs."""
        loops = (tuple(one.each.path.text.split(".")) for one in self.templates if one.each)
        return frozenset(one[1] for one in (*self.mentions, *loops) if one[0] == "derived" and len(one) > 1)


def shipped_guide(*own: str) -> Guide:
    """The guide in the box, and below it those of the users' folders ``own`` that have one."""
    files = sorted((shipped("rules") / "bench").glob("*.yaml"))
    more = [file for folder in own for file in sorted((File(folder) / "bench").glob("*.yaml"))]
    return guide([load_shipped(file) for file in files], [load(file) for file in more])


def guide(trusted: Iterable[Placed], own: Iterable[Placed] = ()) -> Guide:
    """A guide from its files. Those that are not ``trusted`` are checked by the schema, and compiled."""
    trusted, own = tuple(trusted), tuple(own)
    for placed in own:
        check_guide(placed)
    # one environment for all in the box: making one costs as much as compiling a dozen expressions
    loops = {_loop_name(spec) for placed in trusted for spec in _data(placed)["steps"] if "each" in spec}
    names = (*GIVEN, *sorted(loops - {*GIVEN}))
    stages: dict[int, Stage] = {}
    templates: dict[str, Template] = {}
    pages = [*((placed, names) for placed in trusted), *((placed, None) for placed in own)]
    for placed, known in pages:
        _add_stage(stages, placed, _data(placed))
        for made in _templates(placed, _data(placed), known):
            if made.name in templates:
                first = templates[made.name].place
                raise Refusal(f"the step {made.name} is also at {first}", "give it another name", made.place)
            templates[made.name] = made
    for one in templates.values():
        if one.later and one.later.after not in templates:
            what = f"no step is called {shown(one.later.after)!r}"
            raise Refusal(what, "name the step after which it is done", one.place)
    return Guide(stages, tuple(templates.values()))


def check_guide(placed: Placed) -> None:
    """Raise Refusal if a file is not what the guide's schema says."""
    import json
    from importlib import resources

    from cfgaudit.model.schema import check

    schema = json.loads(
        resources.files("cfgaudit.audit.bench").joinpath("guide.schema.json").read_text("utf-8")
    )
    check(placed, schema, "part of the bench guide")


def _data(placed: Placed) -> Mapping[str, Any]:
    assert isinstance(placed.data, dict)  # the schema
    return placed.data


def _loop_name(spec: Mapping[str, Any]) -> str:
    name: str = spec["each"].partition(" in ")[0].strip()
    return name


def _add_stage(stages: dict[int, Stage], placed: Placed, data: Mapping[str, Any]) -> None:
    number = data["stage"]
    if number not in stages:
        if "title" not in data:
            what = f"stage {number} has no title"
            raise Refusal(
                what, "add title: what is done in it, and with which power", placed.place(("stage",))
            )
        stages[number] = Stage(number, _folded(data["title"]), _folded(data.get("note", "")))


def _folded(text: str) -> str:
    return " ".join(text.split())


def _templates(placed: Placed, data: Mapping[str, Any], known: tuple[str, ...] | None) -> Iterator[Template]:
    for n, spec in enumerate(data["steps"]):
        yield _template(placed, ("steps", n), spec, data["stage"], known)


def _template(
    placed: Placed, route: Route, spec: Mapping[str, Any], stage: int, known: tuple[str, ...] | None
) -> Template:
    each = " ".join(spec.get("each", "").split())
    through_calls = each == f"call in {CALLS}"
    bound = loop_names(placed, (*route, "each"), [each]) if each and not through_calls else ()
    if {*bound} & {*GIVEN}:
        what = f"the loop's name {shown(bound[0])!r} is taken"
        raise Refusal(what, "choose another one", placed.place((*route, "each")))
    make = Compiler(placed, (*GIVEN, *bound) if known is None else known, known is None)

    def condition(part: Mapping[str, Any], key: str, *way: str) -> Expression | None:
        return make.expression(part[key], (*route, *way, key)) if key in part else None

    def sentences(key: str) -> tuple[Phrase, ...]:
        made = make.phrases(spec, key, route)
        if not any(not phrase.expressions for phrase in made):
            what = f"{key} of the step {spec['step']} may come to nothing: each sentence has a figure"
            raise Refusal(what, "add a sentence without braces", placed.place((*route, key)))
        return made

    wanted, later = spec.get("for", {}), spec.get("later", {})
    when_later = condition(later, "when", "later")
    return Template(
        name=spec["step"],
        stage=stage,
        place=placed.place(route),
        vocabulary=make.names,
        always=spec.get("always", False),
        otherwise=spec.get("otherwise", False),
        wanted=Wanted(
            tuple(wanted.get("rules", ())),
            tuple(wanted.get("but", ())),
            tuple(map(parse, wanted.get("paths", ()))),
            condition(wanted, "when", "for"),
        ),
        each=_loop(make, each, bound[0] if bound else "call", route) if each else None,
        when=condition(spec, "when"),
        about=make.paths(spec, "about", route, bound),
        row=make.phrases(spec, "row", route),
        do=sentences("do"),
        type=make.phrases(spec, "type", route),
        see=sentences("see"),
        if_not=sentences("if_not"),
        later=Later(later["after"], when_later) if when_later else None,
    )


def _loop(make: Compiler, each: str, name: str, route: Route) -> Loop:
    path = make.loop(each, (*route, "each"), (CALLS,))
    if path.expressions:
        what = f"{shown(path.text)!r} has a figure in it"
        raise Refusal(what, "go through a fixed path here", make.placed.place((*route, "each")))
    return Loop(name, path)
