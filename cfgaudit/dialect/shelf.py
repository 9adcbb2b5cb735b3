"""The dialects at hand: those that ship, and a user's own file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.front import Front, front
from cfgaudit.dialect.load import check_factory, dialect
from cfgaudit.model.placed import Placed, load, load_shipped
from cfgaudit.model.refusal import Refusal
from cfgaudit.shipped import shipped


def shipped_dialects() -> tuple[Dialect, ...]:
    """Every dialect in the box, by name. The tests hold them against the schema; here time counts."""
    return tuple(dialect(load(path)) for path in sorted(shipped("grammars").glob("*.yaml")))


@cache
def shipped_fronts() -> tuple[Front, ...]:
    """The front page of every dialect in the box: enough to recognise a dump."""
    return tuple(front(load_shipped(path)) for path in sorted(shipped("grammars").glob("*.yaml")))


@cache
def opened(page: Front) -> Dialect:
    """The whole dialect behind a front page in the box."""
    return dialect(load_shipped(Path(page.file)))


def named_dialect(name: str) -> Dialect:
    """A shipped dialect by its name, or a user's by its file's path."""
    here = {path.stem: path for path in shipped("grammars").glob("*.yaml")}
    if name in here:
        return dialect(load(here[name]))
    if not name.endswith((".yaml", ".yml")):
        known = ", ".join(sorted(here))
        raise Refusal(f"no dialect {name!r}", f"use {known}, or the path of a dialect's YAML file")
    return own_dialect(load(name))


def own_dialect(placed: Placed) -> Dialect:
    """A user's dialect, checked against the dialect schema and its own factory lines."""
    import json
    from importlib import resources

    from cfgaudit.model.schema import check

    schema = resources.files("cfgaudit.dialect").joinpath("dialect.schema.json").read_text("utf-8")
    check(placed, json.loads(schema), "dialect")
    made = dialect(placed)
    check_factory(placed, made)
    return made
