"""A dialect's YAML file → a dialect. What cannot be compiled is refused with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from cfgaudit.dialect import template
from cfgaudit.dialect.cell import Cell, cell
from cfgaudit.dialect.dialect import Dialect, Header
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dump.grammar import FAMILIES
from cfgaudit.model.path import parse
from cfgaudit.model.placed import Placed
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.version import numbers, versions

Made = TypeVar("Made")
Route = tuple[str | int, ...]  # keys into the YAML file


def dialect(placed: Placed) -> Dialect:
    """Compile a dialect that its schema has accepted. Raises Refusal for what the schema cannot see."""
    data: dict[str, Any] = placed.data  # type: ignore[assignment]  # the schema: a mapping
    made_for = versions(str(data.get("versions", "")))
    if made_for is None:
        raise Refusal("not a range of versions", 'write it as ">=4.0 <5.0"', placed.place(("versions",)))
    extent = data.get("extent", {})
    written = data.get("assignment", "{name} = {value}")
    assignment = _sound(placed, ("assignment",), lambda: _assignment(written))
    return Dialect(
        name=data["dialect"],
        title=data.get("title", ""),
        file=placed.file,
        family=data["family"],
        versions=made_for,
        headers=tuple(
            _sound(placed, ("header", n), lambda text=text: _header(text))  # type: ignore[misc]
            for n, text in enumerate(listed(data["header"]))
        ),
        full=frozenset(listed(extent.get("full", "full"))),
        changed=frozenset(listed(extent.get("changed", "changed"))),
        dump_with=data.get("dump_with", ""),
        keep_with=data.get("keep_with", ""),
        restart_with=data.get("restart_with", ""),
        remark=data.get("remark", "#"),
        assignment=assignment,
        constants={
            parse(path): tuple(value) if isinstance(value, list) else value
            for path, value in data.get("constants", {}).items()
        },
        scopes=(
            _scope(placed, (), data, assignment),
            *(
                _scope(placed, ("scopes", n), scope, assignment)
                for n, scope in enumerate(data.get("scopes", []))
            ),
        ),
        renamed=tuple(sorted(data.get("renamed", {}).items(), key=lambda one: numbers(one[0]))),
    )


def check_family(placed: Placed) -> None:
    """Refuse a family for which there is no grammar."""
    family = placed.data.get("family") if isinstance(placed.data, dict) else None
    if family not in FAMILIES:
        raise Refusal(
            f"no grammar family {family!r}", f"use {' or '.join(FAMILIES)}", placed.place(("family",))
        )


def _assignment(text: str) -> template.Line:
    made = template.line(text)
    if made.cells != ("name", "value"):
        raise ValueError("an assignment is written with {name} and {value}, such as {name} = {value}")
    return made


def _header(text: str) -> Header:
    pattern, end, gives = "", 0, []
    for hole in re.finditer(r"\{([a-z_.]+)\}", text):
        pattern += re.escape(text[end : hole.start()]) + "(.+?)"
        end = hole.end()
        gives.append(hole[1])
    for path in gives:
        if path != "extent" and path.partition(".")[0] not in ("firmware", "identity"):
            raise ValueError(f"a header gives firmware.…, identity.… or extent, not {path}")
    return Header(text, re.compile(pattern + re.escape(text[end:])), tuple(gives))


def _scope(placed: Placed, route: Route, data: Mapping[str, Any], assignment: template.Line) -> Scope:
    opens = form = None
    cells: dict[str, Cell] = {}
    if route:
        here = (*route, "opens")
        opens = _sound(placed, here, lambda: template.line(data["opens"]))
        cells = {
            name: _sound(placed, (*route, "cells", name), lambda spec=spec: cell(spec))  # type: ignore[misc]
            for name, spec in data.get("cells", {}).items()
        }
        _all_told(placed, here, opens, cells)
        form = Form(opens, cells, tuple(_gifts(placed, route, data, cells)), key=())
    forms = tuple(
        _form(placed, (*route, "forms", n), spec, cells) for n, spec in enumerate(data.get("forms", []))
    )
    rows: dict[str, tuple[Form, ...]] = {}
    for one in forms:
        rows[one.line.keyword] = (*rows.get(one.line.keyword, ()), one)
    return Scope(
        opens=opens,
        form=form,
        cells=cells,
        settings={
            name: _setting(placed, (*route, "settings", name), name, spec, cells, assignment)
            for name, spec in data.get("settings", {}).items()
        },
        forms=forms,
        rows=rows,
    )


def _setting(
    placed: Placed,
    route: Route,
    name: str,
    spec: Any,
    outer: Mapping[str, Cell],
    assignment: template.Line,
) -> Form:
    value = _sound(placed, route, lambda: cell(spec))
    text = assignment.text.replace("{name}", name).replace("{value}", "{value...}")
    line = _sound(placed, route, lambda: template.line(text))
    gives = {spec["is"]: "value"} if isinstance(spec, dict) and "is" in spec else {}
    gives |= spec.get("gives", {}) if isinstance(spec, dict) else {}
    cells = {"value": value}
    return Form(line, cells, tuple(_gifts(placed, route, {"gives": gives}, cells, outer)), (), name=name)


def _form(placed: Placed, route: Route, data: Mapping[str, Any], outer: Mapping[str, Cell]) -> Form:
    line = _sound(placed, (*route, "line"), lambda: template.line(data["line"]))
    cells = {
        name: _sound(placed, (*route, "cells", name), lambda spec=spec: cell(spec))  # type: ignore[misc]
        for name, spec in data.get("cells", {}).items()
    }
    _all_told(placed, (*route, "line"), line, cells)
    gifts = tuple(_gifts(placed, route, data, cells, outer))
    in_paths = dict.fromkeys(name for gift in gifts for name in gift.path.cells if name in cells)
    key = tuple(data.get("key", in_paths if gifts else line.cells[:1] if len(line.cells) > 1 else ()))
    for name in key:
        if name not in cells:
            raise Refusal(f"the key {name!r} is no cell of the line", "name a cell", placed.place(route))
    return Form(line, cells, gifts, key, factory=tuple(data.get("factory", ())))


def _gifts(
    placed: Placed,
    route: Route,
    data: Mapping[str, Any],
    cells: Mapping[str, Cell],
    outer: Mapping[str, Cell] | None = None,
) -> Iterator[Gift]:
    for text, source in data.get("gives", {}).items():
        here = (*route, "gives", text)
        path = _sound(placed, here, lambda text=text: template.path(text))  # type: ignore[misc]
        name, _, part = str(source).partition(".")
        for one in (*path.cells, name):
            if one not in cells and one not in (outer or {}):
                raise Refusal(f"{one!r} is no cell of the line", "name one of its cells", placed.place(here))
        yield Gift(path, name, part)


def _all_told(placed: Placed, route: Route, line: template.Line, cells: Mapping[str, Cell]) -> None:
    for name in line.cells:
        if name not in cells:
            raise Refusal(
                f"the cell {{{name}}} is not described", f"add {name!r} under cells", placed.place(route)
            )


def _sound(placed: Placed, route: Route, make: Callable[[], Made]) -> Made:
    """Run a small compiler; what it finds wrong becomes a refusal with a place."""
    try:
        return make()
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise Refusal(str(error), "mend the dialect file", placed.place(route)) from None


def listed(value: Any) -> list[str]:
    """One text or a list of them → a list."""
    return [str(one) for one in value] if isinstance(value, list) else [str(value)]
