"""The dialects at hand: those that ship, and a user's own file."""

from __future__ import annotations

from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.load import check_family, dialect
from cfgaudit.model.placed import load
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.schema import check
from cfgaudit.shipped import shipped


def shipped_dialects() -> tuple[Dialect, ...]:
    """Every dialect in the box, by name. The tests hold them against the schema; here time counts."""
    return tuple(dialect(load(path)) for path in sorted(shipped("grammars").glob("*.yaml")))


def named_dialect(name: str) -> Dialect:
    """A shipped dialect by its name, or a user's by its file's path."""
    here = {path.stem: path for path in shipped("grammars").glob("*.yaml")}
    if name in here:
        return dialect(load(here[name]))
    if not name.endswith((".yaml", ".yml")):
        known = ", ".join(sorted(here))
        raise Refusal(f"no dialect {name!r}", f"use {known}, or the path of a dialect's YAML file")
    return own_dialect(name)


def own_dialect(path: str) -> Dialect:
    """A user's dialect file, checked against the dialect schema."""
    placed = load(path)
    check(placed, "dialect/dialect.schema.json", "dialect")
    check_family(placed)
    return dialect(placed)
