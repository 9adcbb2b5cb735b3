"""A dialect: how one firmware writes its settings down, read in both directions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect import template
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.front import Header
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value
from cfgaudit.model.version import Versions, numbers, versions


class Dialect(Struct, frozen=True, dict=True):
    """Everything a dialect file says, ready for reading and writing.

    ``scopes[0]`` holds the lines outside every scope. Of settings with ``since``, ``until`` or new
    names, ``at(version)`` leaves those that are in force.
    """

    name: str
    title: str
    file: str
    family: str
    versions: Versions
    headers: tuple[Header, ...]
    full: frozenset[str]  # the words of {extent} that mean a full dump
    changed: frozenset[str]
    dump_with: str  # what to type to get a dump
    keep_with: str  # what to type to keep a change
    restart_with: str
    remark: str  # the sign before a remark in lines that we write
    assignment: template.Line  # with the cells name and value
    constants: Mapping[Path, Value]
    scopes: tuple[Scope, ...]
    renamed: tuple[tuple[str, Mapping[str, str]], ...]  # (since, {old: new}), oldest first

    @cached_property
    def name_word(self) -> int:
        """Which word of an assignment is the setting's name, counted from 0."""
        return [word.text for word in self.assignment.words].index("{name}")

    def at(self, running: str) -> Dialect:
        """The dialect as the given firmware version speaks it; an unknown version changes nothing."""
        if not numbers(running):
            return self
        renames = [names for since, names in self.renamed if _within(running, since, "")]
        return replace(self, scopes=tuple(self._scope_at(scope, running, renames) for scope in self.scopes))

    def _scope_at(self, scope: Scope, running: str, renames: Sequence[Mapping[str, str]]) -> Scope:
        settings = {}
        for name, form in scope.settings.items():
            value = form.cells["value"]
            if _within(running, value.since, value.until):
                called = name
                for names in renames:
                    called = names.get(called, called)
                settings[called] = form if called == name else self._called(form, called)
        return replace(scope, settings=settings)

    def _called(self, form: Form, name: str) -> Form:
        return replace(form, name=name, kin=name, line=setting_line(self.assignment, name))

    def giving(self, path: Path) -> Iterator[tuple[Scope, Form, Gift, dict[str, str]]]:
        """Every way this dialect has to write a model path, with the cells' keys it takes."""
        for scope in self.scopes:
            for form, gift, keys in scope.giving(path):
                yield scope, form, gift, keys

    def after(self, path: Path) -> str:
        """When a change of this path takes effect: "" (at once), "restart", "power cycle"."""
        cells = (form.cells.get(gift.cell) for _, form, gift, _ in self.giving(path))
        return next((cell.after for cell in cells if cell), "")


def setting_line(assignment: template.Line, name: str) -> template.Line:
    """The template of a setting's line. Raises ValueError if the name cannot stand in it."""
    return template.line(assignment.text.replace("{value}", "{value...}").replace("{name}", name))


def _within(running: str, since: str, until: str) -> bool:
    for bound, operator in ((since, ">="), (until, "<")):
        allowed = versions(f"{operator}{bound}") if bound else None
        if allowed and running not in allowed:
            return False
    return True
