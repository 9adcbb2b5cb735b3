"""A dialect: how one firmware writes its settings down, read in both directions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.dialect import template
from cfgaudit.dialect.cell import UNDECLARED, Cell, Undeclared
from cfgaudit.dialect.codec.codec import Fields
from cfgaudit.dialect.codec.port import Port
from cfgaudit.dialect.form import Form, Gift, Scope, by_keyword
from cfgaudit.dialect.front import Header
from cfgaudit.model.path import Path
from cfgaudit.model.value import Value
from cfgaudit.model.version import Versions, numbers, ordered, versions


class _Step(Struct, frozen=True):
    """What one version changes: names, by the old ones, and defaults, by the names from then on."""

    since: str
    names: Mapping[str, str]
    defaults: Mapping[str, Value | Fields]


class Dialect(Struct, frozen=True, dict=True):
    """Everything a dialect file says, ready for reading and writing.

    ``scopes[0]`` holds the lines outside every scope. Of settings and forms with ``since``, ``until``,
    several ways, new names or new defaults, ``at(version)`` leaves what is in force.
    """

    name: str
    title: str
    file: str
    family: str
    versions: Versions
    headers: tuple[Header, ...]
    made_for: tuple[Header, ...]  # the remarks of a preset that say what it was typed for
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
    moved: tuple[tuple[str, Mapping[str, Value | Fields]], ...] = ()  # (since, {name then: default})
    private_names: frozenset[str] = frozenset()  # what private settings and rows are called in any version

    @cached_property
    def has_nameless_private(self) -> bool:
        """Whether a private row begins with a cell, so that no word tells it."""
        forms = (form for scope in self.scopes for form in scope.all_forms() if not form.name)
        return any(
            "{" in form.line.text.split()[0] and any(cell.private for cell in form.cells.values())
            for form in forms
        )

    @cached_property
    def name_word(self) -> int:
        """Which word of an assignment is the setting's name, counted from 0."""
        return [word.text for word in self.assignment.words].index("{name}")

    @cached_property
    def numbers_ports(self) -> bool:
        """Whether the firmware writes port numbers of its own, which only the board can explain."""
        return any(_has_numbers(scope) for scope in self.scopes)

    def on_board(self, numbers: Mapping[int, str]) -> Dialect:
        """The dialect on a board of which the port numbers are known: ``{3: "UART4"}``."""
        if not numbers or not self.numbers_ports:
            return self
        return replace(self, scopes=tuple(_scope_on(scope, Port(numbers)) for scope in self.scopes))

    @cached_property
    def _steps(self) -> list[_Step]:
        """What versions change in names and defaults, oldest first; within one, the names come first."""
        renames = [_Step(since, names, {}) for since, names in self.renamed]
        moves = [_Step(since, {}, defaults) for since, defaults in self.moved]
        return sorted([*renames, *moves], key=lambda step: ordered(step.since))

    def at(self, running: str) -> Dialect:
        """The dialect as the given firmware version speaks it.

        An unknown version changes nothing, but defaults that have ever moved are not known then, nor
        are the factory lines of forms that not every version has. A setting that versions write
        differently is a text then, which gives nothing.
        """
        if not numbers(running):
            return self._at_any()
        steps = [step for step in self._steps if _within(running, step.since, "")]
        return replace(self, scopes=tuple(self._scope_at(scope, running, steps) for scope in self.scopes))

    def _at_any(self) -> Dialect:
        scopes = []
        for scope in self.scopes:
            settings = dict(scope.settings)
            for name, form in settings.items():
                if _stepped(name, UNDECLARED, self._steps)[1] is not UNDECLARED:
                    settings[name] = _by_default(form, UNDECLARED)
            forms = tuple(
                replace(form, factory=()) if form.since or form.until else form for form in scope.forms
            )
            scopes.append(replace(scope, settings=settings, forms=forms, rows=by_keyword(forms)))
        return replace(self, scopes=tuple(scopes))

    def _scope_at(self, scope: Scope, running: str, steps: Sequence[_Step]) -> Scope:
        settings = {}
        for name, form in scope.settings.items():
            for way in form.ways or (form,):
                if _within(running, way.since, way.until):
                    made = self._stepped(way, name, steps)
                    settings[made.name] = made
        forms = tuple(form for form in scope.forms if _within(running, form.since, form.until))
        return replace(scope, settings=settings, forms=forms, rows=by_keyword(forms))

    def _stepped(self, form: Form, name: str, steps: Sequence[_Step]) -> Form:
        """A setting, by the name that the file has for it, as it is after all of the steps."""
        told = form.cells["value"].default
        called, default = _stepped(name, told, steps, form.since)
        made = form if default is told else _by_default(form, default)
        if called == name:
            return made
        return replace(made, name=called, line=setting_line(self.assignment, called))

    def giving(self, path: Path) -> Iterator[tuple[Scope, Form, Gift, dict[str, str]]]:
        """Every way this dialect has to write a model path, with the cells' keys it takes."""
        for scope in self.scopes:
            for form, gift, keys in scope.giving(path):
                yield scope, form, gift, keys

    def after(self, path: Path) -> str:
        """When a change of this path takes effect: "" (at once), "restart", "power cycle"."""
        cells = (form.cells.get(gift.cell) for _, form, gift, _ in self.giving(path))
        return next((cell.after for cell in cells if cell), "")


_Default = Value | Fields | Undeclared


def _stepped(name: str, default: _Default, steps: Sequence[_Step], since: str = "") -> tuple[str, _Default]:
    """A setting's name after all of the steps, and its default after those from ``since`` on."""
    for step in steps:
        name = step.names.get(name, name)
        if ordered(step.since) >= ordered(since):
            default = step.defaults.get(name, default)
    return name, default


def _by_default(form: Form, default: _Default) -> Form:
    return replace(form, cells={**form.cells, "value": replace(form.cells["value"], default=default)})


def private_names(
    scopes: Iterable[Scope], renamed: Iterable[tuple[str, Mapping[str, str]]]
) -> frozenset[str]:
    """The names of private settings and the keywords of private rows, whichever version calls them so."""
    forms = [way for scope in scopes for form in scope.all_forms() for way in (form, *form.ways)]
    private = [form for form in forms if any(cell.private for cell in form.cells.values())]
    names = {name for form in private if "{" not in (name := form.name or form.line.text.split()[0])}
    for _, new_names in renamed:
        names |= {new for old, new in new_names.items() if old in names}
    return frozenset(names)


def setting_line(assignment: template.Line, name: str) -> template.Line:
    """The template of a setting's line. Raises ValueError if the name cannot stand in it."""
    text = assignment.text.replace("{value}", "{value...}").replace("{name}", name)
    return template.line(text, assignment.separator, assignment.operators)


def _has_numbers(scope: Scope) -> bool:
    forms = [way for form in scope.all_forms() for way in (form, *form.ways)]
    cells = [*scope.cells.values(), *(cell for form in forms for cell in form.cells.values())]
    return any(isinstance(cell.codec, Port) for cell in cells)


def _scope_on(scope: Scope, port: Port) -> Scope:
    """The scope with every port number read by the board's."""
    if not _has_numbers(scope):
        return scope
    forms = tuple(_form_on(form, port) for form in scope.forms)
    return replace(
        scope,
        form=_form_on(scope.form, port) if scope.form else None,
        cells=_cells_on(scope.cells, port),
        settings={name: _form_on(form, port) for name, form in scope.settings.items()},
        forms=forms,
        rows=by_keyword(forms),
    )


def _form_on(form: Form, port: Port) -> Form:
    ways = tuple(_form_on(way, port) for way in form.ways)
    return replace(form, cells=_cells_on(form.cells, port), ways=ways)


def _cells_on(cells: Mapping[str, Cell], port: Port) -> dict[str, Cell]:
    return {
        name: replace(cell, codec=port) if isinstance(cell.codec, Port) else cell
        for name, cell in cells.items()
    }


def _within(running: str, since: str, until: str) -> bool:
    for bound, operator in ((since, ">="), (until, "<")):
        allowed = versions(f"{operator}{bound}") if bound else None
        if allowed and running not in allowed:
            return False
    return True
