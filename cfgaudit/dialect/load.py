"""A dialect's YAML file → a dialect. What cannot be compiled is refused with its place."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import Any, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect import template
from cfgaudit.dialect.cell import Cell, Undeclared, cell, with_default
from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.codec.series import Series
from cfgaudit.dialect.codec.words import Words
from cfgaudit.dialect.dialect import Dialect, private_names, setting_line
from cfgaudit.dialect.form import Form, Gift, Scope, by_keyword
from cfgaudit.dialect.front import front
from cfgaudit.dialect.ways import in_any_version
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.path import parse
from cfgaudit.model.placed import Placed
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.value import Value
from cfgaudit.model.version import ordered

Made = TypeVar("Made")
Route = tuple[str | int, ...]  # keys into the YAML file

_OPERATORS = frozenset({"=", ":=", ":"})


def dialect(placed: Placed) -> Dialect:
    """Compile a dialect that its schema has accepted. Raises Refusal for what the schema cannot see."""
    data: dict[str, Any] = placed.data  # type: ignore[assignment]  # the schema: a mapping
    page = front(placed)
    hand = _hand(placed, data)
    made = Dialect(
        name=page.name,
        title=data.get("title", ""),
        file=page.file,
        family=data["family"],
        versions=page.versions,
        headers=page.headers,
        made_for=page.made_for,
        full=page.full,
        changed=page.changed,
        dump_with=data.get("dump_with", ""),
        keep_with=data.get("keep_with", ""),
        restart_with=data.get("restart_with", ""),
        remark=data.get("remark", "#"),
        assignment=hand.assignment,
        constants={
            parse(path): tuple(value) if isinstance(value, list) else value
            for path, value in data.get("constants", {}).items()
        },
        scopes=tuple(_scopes(placed, data, hand)),
        renamed=tuple(sorted(data.get("renamed", {}).items(), key=lambda one: ordered(one[0]))),
    )
    _check_renamed(placed, made)
    names = private_names(made.scopes, made.renamed)
    return replace(made, moved=tuple(_moved(placed, data, made)), private_names=names)


def check_factory(placed: Placed, made: Dialect) -> None:
    """Refuse a factory line that its own form does not know, or that holds what a cell cannot."""
    for n, scope in enumerate(made.scopes):
        route: Route = ("scopes", n - 1, "forms") if n else ("forms",)
        for m, form in enumerate(scope.forms):
            for k, text in enumerate(form.factory):
                if wrong := _factory_wrong(made, scope, form, text):
                    place = placed.place((*route, m, "factory", k))
                    raise Refusal(f"the factory line {wrong}", f"write it as {form.line.text}", place)


def _factory_wrong(made: Dialect, scope: Scope, form: Form, text: str) -> str:
    statements = read_statements(Text(made.file, text, "utf-8", mark=False), made.family).statements
    forms = tuple(one for one in scope.forms if one is form or _meet(one, form))
    there = replace(scope, forms=forms, rows=by_keyword(forms))
    found = (
        there.match(statements[0], made.name_word) if len(statements) == 1 and statements[0].spans else None
    )
    if found is None or found[0] is not form:
        return "does not fit its form"
    for name, written in found[1].items():
        try:
            wrong = form.cells[name].outside(form.cells[name].codec.read(written))
        except Misfit as misfit:
            wrong = misfit.why
        if wrong:
            return f"has {written!r} for {name}, which {wrong}"
    return ""


class _Hand(Struct, frozen=True):
    """How the firmware sets a line's words apart, and how it writes a setting."""

    family: str
    separator: str
    assignment: template.Line

    def line(self, text: str, cells: Mapping[str, Any]) -> template.Line:
        """A line's template; ``cells`` are described as in the file. Raises ValueError with what is wrong."""
        numbers = {name for name, spec in cells.items() if _is_number(spec)}
        return template.line(text, self.separator, self.family != "columns", numbers)

    def opening(self, text: str, cells: Mapping[str, Any]) -> template.Line:
        """The template of a line that opens a scope; a section's words are never assigned anything."""
        return template.line(text) if self.family == "sectioned" else self.line(text, cells)


def _is_number(spec: Any) -> bool:
    """Whether what a cell holds begins with no letter, going by its description."""
    return any(one == spec or (isinstance(spec, dict) and one in spec) for one in ("integer", "decimal"))


def _hand(placed: Placed, data: Mapping[str, Any]) -> _Hand:
    columns = data["family"] == "columns"
    if "separator" in data and not columns:
        mend = "leave it out: the words of the other families stand between blanks"
        raise Refusal("'separator' goes with the columns family", mend, placed.place(("separator",)))
    separator = str(data.get("separator", "," if columns else " "))
    written = data.get("assignment", f"{{name}}{separator}{{value}}" if columns else "{name} = {value}")
    return _Hand(
        data["family"],
        separator,
        _sound(placed, ("assignment",), _assignment, written, separator, columns),
    )


def _assignment(text: str, separator: str, columns: bool) -> template.Line:
    made = template.line(text, separator, not columns)
    words = [word.text for word in made.words]
    if made.cells != ("name", "value") or "{name}" not in words or words[-1] != "{value}":
        raise ValueError("an assignment is written with {name} and, at its end, {value}: {name} = {value}")
    return made


def _scopes(placed: Placed, data: Mapping[str, Any], hand: _Hand) -> Iterator[Scope]:
    yield _scope(placed, (), data, hand)
    opened = set()
    for n, one in enumerate(data.get("scopes", [])):
        scope = _scope(placed, ("scopes", n), one, hand)
        opens = one["opens"]
        if opens in opened:
            raise Refusal(f"{opens!r} opens two scopes", "join them", placed.place(("scopes", n, "opens")))
        opened.add(opens)
        yield scope


def _scope(placed: Placed, route: Route, data: Mapping[str, Any], hand: _Hand) -> Scope:
    opens = form = None
    cells: dict[str, Cell] = {}
    if route:
        here = (*route, "opens")
        opens = _sound(placed, here, hand.opening, data["opens"], data.get("cells", {}))
        cells = _cells(placed, route, data, opens, here)
        for name in cells:
            _check_keyable(placed, (*route, "cells", name), name, cells)
        _check_apart(placed, (*route, "cells"), cells, {"value"})
        form = Form(opens, cells, tuple(_gifts(placed, route, data, cells)), (), "", ())
    forms = tuple(
        _kindred(
            _form(placed, (*route, "forms", n), spec, cells, hand)
            for n, spec in enumerate(data.get("forms", []))
        )
    )
    lines: dict[str, list[Form]] = {}
    for n, one in enumerate(forms):
        if any(_meet(one, other) for other in lines.get(one.line.text, ())):
            place = placed.place((*route, "forms", n, "line"))
            mend = "remove one, or keep them apart with since and until"
            raise Refusal(f"{one.line.text!r} comes twice", mend, place)
        lines.setdefault(one.line.text, []).append(one)
    return Scope(
        opens=opens,
        form=form,
        cells=cells,
        settings={
            name: _setting(placed, (*route, "settings", name), name, spec, cells, hand)
            for name, spec in data.get("settings", {}).items()
        },
        forms=forms,
        rows=by_keyword(forms),
    )


def _setting(
    placed: Placed,
    route: Route,
    name: str,
    spec: Any,
    outer: Mapping[str, Cell],
    hand: _Hand,
) -> Form:
    """A setting; a list of descriptions tells how one version after the other writes it."""
    if not isinstance(spec, list):
        return _way(placed, route, name, spec, outer, hand)
    ways: list[Form] = []
    for n, one in enumerate(spec):
        way = _way(placed, (*route, n), name, one, outer, hand)
        if any(_meet(way, other) for other in ways):
            mend = "keep the ways apart with since and until"
            raise Refusal(f"a version would write {name!r} in two ways", mend, placed.place((*route, n)))
        ways.append(way)
    return in_any_version(ways)


def _way(
    placed: Placed,
    route: Route,
    name: str,
    spec: Any,
    outer: Mapping[str, Cell],
    hand: _Hand,
) -> Form:
    """One way of writing a setting, mostly the only one."""
    cells = {"value": _sound(placed, route, _cell, spec, hand.separator)}
    line = _sound(placed, route, setting_line, hand.assignment, name)
    options = spec if isinstance(spec, dict) else {}
    gifts = [*_gifts(placed, route, options, cells, outer)]
    if "is" in options:
        gifts.insert(0, _gift(placed, (*route, "is"), options["is"], "value", cells, outer))
    since, until = options.get("since", ""), options.get("until", "")
    return Form(line, cells, tuple(gifts), (), name, (), name=name, since=since, until=until)


def _form(
    placed: Placed, route: Route, data: Mapping[str, Any], outer: Mapping[str, Cell], hand: _Hand
) -> Form:
    here = (*route, "line")
    line = _sound(placed, here, hand.line, data["line"], data.get("cells", {}))
    cells = _cells(placed, route, data, line, here)
    _check_apart(placed, (*route, "cells"), cells, outer)
    gifts = tuple(_gifts(placed, route, data, cells, outer))
    in_paths = dict.fromkeys(name for gift in gifts for name in gift.path.cells if name in cells)
    first = [name for name in line.cells[:1] if len(line.cells) > 1 and cells[name].keyable]
    key = tuple(data.get("key", in_paths if gifts else first))
    for n, name in enumerate(key):
        if name not in cells:
            place = placed.place((*route, "key", n))
            raise Refusal(f"the key {name!r} is no cell of the line", "name a cell", place)
        _check_keyable(placed, (*route, "key", n), name, cells)
    for text, gift in zip(data.get("gives", {}), gifts, strict=True):
        if missing := [name for name in key if name not in gift.path.cells]:
            what = f"lines with another {missing[0]} would give {text!r} too"
            raise Refusal(what, f"set {{{missing[0]}}} in the path", placed.place((*route, "gives", text)))
    factory = tuple(data.get("factory", ()))
    heading = tuple(_heading(line, key))
    since, until = data.get("since", ""), data.get("until", "")
    return Form(line, cells, gifts, key, line.text, heading, factory, since=since, until=until)


def _meet(one: Form, other: Form) -> bool:
    """Whether a version may have both forms."""
    return not (_over(one, other) or _over(other, one))


def _over(one: Form, other: Form) -> bool:
    """Whether a form went before the other came."""
    return bool(one.until and other.since) and ordered(one.until) <= ordered(other.since)


def _heading(line: template.Line, key: Collection[str]) -> Iterator[template.Word]:
    """The words that name a row: the fixed ones and those of the key, up to the last of the key."""
    ends = [n for n, word in enumerate(line.words, 1) if set(word.cells) & set(key)]
    if not ends:
        ends = [n for n, word in enumerate(line.words) if word.cells] or [len(line.words)]
    for word in line.words[: max(ends) if key else min(ends)]:
        if word.text not in _OPERATORS and set(word.cells) <= set(key):
            yield word


def _kindred(forms: Iterable[Form]) -> Iterator[Form]:
    """Forms that give the same path by the same key are shapes of one row."""
    first: dict[object, str] = {}
    for form in forms:
        given = [(gift.path, form.key) for gift in form.gifts]
        kin = next((first[one] for one in given if one in first), form.kin)
        first |= {one: kin for one in given if one not in first}
        yield replace(form, kin=kin)


def _cells(
    placed: Placed, route: Route, data: Mapping[str, Any], line: template.Line, here: Route
) -> dict[str, Cell]:
    """The cells of a line, each described, and no others."""
    told = data.get("cells", {})
    for name in line.cells:
        if name not in told:
            raise Refusal(
                f"the cell {{{name}}} is not described", f"add {name!r} under cells", placed.place(here)
            )
    for name in told:
        if name not in line.cells:
            place = placed.place((*route, "cells", name))
            raise Refusal(f"the cell {name!r} is not in the line", f"write {{{name}}} in the line", place)
    return {
        name: _sound(placed, (*route, "cells", name), _cell, spec, line.separator)
        for name, spec in told.items()
    }


def _cell(spec: Any, separator: str) -> Cell:
    """A cell; a list whose entries stand in columns of the line is written like them."""
    made = cell(spec)
    if isinstance(made.codec, Series) and made.codec.separator == separator:
        return replace(made, codec=replace(made.codec, tight=True))
    return made


def _gifts(
    placed: Placed,
    route: Route,
    data: Mapping[str, Any],
    cells: Mapping[str, Cell],
    outer: Mapping[str, Cell] | None = None,
) -> Iterator[Gift]:
    for text, source in data.get("gives", {}).items():
        yield _gift(placed, (*route, "gives", text), text, source, cells, outer or {})


def _gift(
    placed: Placed,
    route: Route,
    text: str,
    source: str,
    cells: Mapping[str, Cell],
    outer: Mapping[str, Cell],
) -> Gift:
    path = _sound(placed, route, template.path, text)
    name, _, part = source.partition(".")
    known = {**outer, **cells}
    for one in (*path.cells, name):
        if one not in known:
            raise Refusal(f"{one!r} is no cell of the line", "name one of its cells", placed.place(route))
    for one in path.cells:
        _check_keyable(placed, route, one, known)
    fields = known[name].fields
    if fields and part not in fields:
        mend = f"write {' or '.join(f'{name}.{field}' for field in fields)}"
        raise Refusal(f"{source!r} is no field of a packed cell", mend, placed.place(route))
    if part and not fields:
        raise Refusal(f"the cell {name!r} has no fields", f"write {name}", placed.place(route))
    return Gift(path, name, part)


def _check_keyable(placed: Placed, route: Route, name: str, cells: Mapping[str, Cell]) -> None:
    """Refuse a cell that cannot stand in a path or say which of its kind a line is."""
    one = cells[name]
    if not one.keyable:
        what = f"the cell {name!r} cannot stand in a path or in a key"
        raise Refusal(what, "describe it as integer, words, pin, port or text", placed.place(route))
    for value in one.codec.values.values() if isinstance(one.codec, Words) else ():
        if not template.SEGMENT.fullmatch(str(value)):
            what = f"{value!r} of the cell {name!r} cannot stand in a path"
            raise Refusal(what, "use letters, digits, - and _", placed.place(route))


def _check_apart(placed: Placed, route: Route, cells: Collection[str], outer: Collection[str]) -> None:
    """Refuse a cell with a name that a line around it or in it has already."""
    for name in cells:
        if name in outer:
            place = placed.place((*route, name))
            raise Refusal(f"two cells are called {name!r}", "give this one another name", place)


def _check_renamed(placed: Placed, made: Dialect) -> None:
    names = {name for scope in made.scopes for name in scope.settings}
    for since, renames in made.renamed:
        for old in renames:
            if old not in names:
                place = placed.place(("renamed", since, old))
                raise Refusal(f"no setting is called {old!r}", "name one under settings", place)
        names |= set(renames.values())


def _moved(
    placed: Placed, data: Mapping[str, Any], made: Dialect
) -> Iterator[tuple[str, Mapping[str, Value | Fields]]]:
    """Defaults by the versions that have moved them, oldest first, each as its setting can have it."""
    for since, told in sorted(data.get("moved", {}).items(), key=lambda one: ordered(one[0])):
        there = [scope.settings for scope in made.at(since).scopes]
        defaults: dict[str, Value | Fields] = {}
        for name, value in told.items():
            route: Route = ("moved", since, name)
            cells = [settings[name].cells["value"] for settings in there if name in settings]
            if not cells:
                what = f"no setting is called {name!r} in version {since}"
                raise Refusal(what, "use the name that it has from that version on", placed.place(route))
            for one in cells:
                default = _sound(placed, route, with_default, one, value).default
                if not isinstance(default, Undeclared):
                    defaults[name] = default
        yield since, defaults


def _sound(placed: Placed, route: Route, make: Callable[..., Made], *given: Any) -> Made:
    """Run a small compiler; what it finds wrong becomes a refusal with a place."""
    try:
        return make(*given)
    except ValueError as error:
        raise Refusal(str(error), "mend the dialect file", placed.place(route)) from None
