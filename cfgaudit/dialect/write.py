"""Model → statements: the lines that bring a dump's configuration to wanted values, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.read import factory_entries, identity
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import Value, spoken


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines to paste, the lines that take them back, and what could not be written."""

    lines: tuple[str, ...]
    undo: tuple[str, ...]
    cannot: tuple[str, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether everything that was wanted could be written."""
        return not self.cannot


class _Unwritable(Exception):
    """A value this dialect has no way to write, with the reason."""


@dataclass(frozen=True)
class _Draft:
    """A line in the making: one form, one key, the values its cells shall have."""

    scope: Scope
    form: Form
    outer: Mapping[str, str]
    keys: Mapping[str, str]
    entry: Entry | None  # the line in force, if there is one
    wanted: tuple[tuple[Gift, Value], ...]

    @property
    def cells(self) -> tuple[object, ...]:
        """What makes two drafts the same line."""
        key = tuple(self.keys.get(name, "") for name in self.form.key)
        return (id(self.form), tuple(self.outer.items()), key)


def write(reading: Reading, wanted: Mapping[Path, Value]) -> Lines:
    """The lines that give each path its wanted value, one line for each setting or row.

    Cells that are not to change keep what the dump says. What the dialect has no form for, or no
    word, comes back under ``cannot``; the other lines are still good.
    """
    drafts: dict[tuple[object, ...], _Draft] = {}
    cannot = []
    for path, value in wanted.items():
        try:
            draft = _draft(reading, path, value)
        except _Unwritable as reason:
            cannot.append(str(reason))
            continue
        earlier = drafts.get(draft.cells)
        both = (earlier.wanted if earlier else ()) + draft.wanted
        drafts[draft.cells] = _Draft(
            draft.scope, draft.form, draft.outer, (earlier.keys | draft.keys) if earlier else draft.keys,
            draft.entry, both,
        )  # fmt: skip
    rendered = []
    for draft in drafts.values():
        try:
            rendered.append((draft, _rendered(reading, draft, wanted), _undone(reading, draft, wanted)))
        except _Unwritable as reason:
            cannot.append(str(reason))
    return Lines(
        tuple(_grouped(reading, ((draft, line) for draft, line, _ in rendered))),
        tuple(_grouped(reading, ((draft, line) for draft, _, line in rendered))),
        tuple(dict.fromkeys(cannot)),
    )


def _draft(reading: Reading, path: Path, value: Value) -> _Draft:
    """The line that can give a path: the one in force if there is one, else a form that fits."""
    giver = reading.givers.get(path)
    options = list(reading.dialect.giving(path))
    if giver:
        options.sort(key=lambda option: option[1] is not giver.form)
    for scope, form, gift, keys in options:
        outer = {name: key for name, key in keys.items() if name in scope.cells}
        own = {name: key for name, key in keys.items() if name not in outer}
        if giver and giver.form is form and dict(giver.outer) == outer:
            own = {name: giver.texts[name] for name in form.key} and _read_keys(giver) | own
            return _Draft(scope, form, outer, own, giver, ((gift, value),))
        if set(outer) == set(scope.cells) and all(name in own or name == gift.cell for name in form.key):
            return _Draft(
                scope, form, outer, own, _in_force(reading, scope, form, outer, own), ((gift, value),)
            )
    if options:
        raise _Unwritable(
            f"{dotted(path)}: the dump has no line for it, and a new one needs more than its value"
        )
    raise _Unwritable(f"{reading.dialect.name} has no setting for {dotted(path)}")


def _read_keys(entry: Entry) -> dict[str, str]:
    return {name: _as_key(entry.form, name, entry.texts[name]) for name in entry.form.key}


def _as_key(form: Form, name: str, text: str) -> str:
    try:
        return str(form.cells[name].codec.read(text))
    except Misfit:
        return text


def _in_force(
    reading: Reading, scope: Scope, form: Form, outer: Mapping[str, str], keys: Mapping[str, str]
) -> Entry | None:
    for entry in reading.entries:
        if (
            entry.form is form
            and dict(entry.outer) == outer
            and all(_as_key(form, name, entry.texts[name]) == keys.get(name) for name in form.key)
        ):
            return entry
    return None


def _rendered(reading: Reading, draft: _Draft, wanted: Mapping[Path, Value]) -> str:
    """The draft's line: wanted cells encoded, path cells from the keys, the others as they are."""
    texts: dict[str, str] = {}
    for name in draft.form.line.cells:
        texts[name] = _cell_text(reading, draft, name, wanted)
    return draft.form.line.render(texts)


def _cell_text(reading: Reading, draft: _Draft, name: str, wanted: Mapping[Path, Value]) -> str:
    cell = draft.form.cells[name]
    gifts = [(gift, value) for gift, value in draft.wanted if gift.cell == name]
    try:
        if name in draft.keys:
            key = draft.keys[name]
            if (
                draft.entry
                and name in draft.entry.texts
                and _as_key(draft.form, name, draft.entry.texts[name]) == key
            ):
                return draft.entry.texts[name]
            return cell.codec.write(cell.codec.parse(key))
        if gifts and not gifts[0][0].field:
            value = gifts[-1][1]
            if wrong := cell.outside(value):
                raise _Unwritable(f"{draft.form.label}: {spoken(value)} {wrong}")
            return cell.codec.write(value)
        if gifts:
            return cell.codec.write(_fields(draft, name, gifts))
        if draft.entry and name in draft.entry.texts:
            return draft.entry.texts[name]
        return cell.codec.write(_believed(reading, draft, name))
    except Misfit as misfit:
        shown = spoken(gifts[-1][1]) if gifts else draft.keys.get(name, name)
        raise _Unwritable(f"{draft.form.label}: {shown} {misfit.why}") from None


def _fields(draft: _Draft, name: str, gifts: list[tuple[Gift, Value]]) -> Fields:
    """All fields of a packed cell: those wanted, the others as the line in force has them."""
    fields: dict[str, Value] = {}
    if draft.entry:
        held = draft.form.cells[name].codec.read(draft.entry.texts[name])
        if isinstance(held, Mapping):
            fields |= held
    return fields | {gift.field: value for gift, value in gifts}


def _believed(reading: Reading, draft: _Draft, name: str) -> Value | Fields:
    """What a cell of a new line should hold: what the model says, else what the dialect declares."""
    keys = dict(draft.outer) | dict(draft.keys)
    fields: dict[str, Value] = {}
    for gift in draft.form.gifts:
        if gift.cell == name and all(cell in keys for cell in gift.path.cells):
            leaf = reading.model.at(gift.path.fill(keys))
            if isinstance(leaf, Leaf):
                if not gift.field:
                    return leaf.value
                fields[gift.field] = leaf.value
    if fields:
        return fields
    default = draft.form.cells[name].default
    if isinstance(default, bool | int | float | str | tuple):
        return default
    for entry in factory_entries(reading.dialect, draft.scope, draft.outer):
        if entry.form is draft.form and _read_keys(entry) == {key: keys.get(key) for key in draft.form.key}:
            return draft.form.cells[name].codec.read(entry.texts[name])
    raise _Unwritable(f"{draft.form.label}: nothing says what {name} should be")


def _undone(reading: Reading, draft: _Draft, wanted: Mapping[Path, Value]) -> str:
    """The line that takes a draft back: the one in force, the default, or a row that says none."""
    if draft.entry:
        return draft.form.line.render(draft.entry.texts)
    for entry in factory_entries(reading.dialect, draft.scope, draft.outer):
        if entry.form is draft.form and _read_keys(entry) == {
            name: draft.keys.get(name) for name in draft.form.key
        }:
            return draft.form.line.render(entry.texts)
    emptied = {
        name: "none" for gift in draft.form.gifts for name in gift.path.cells if name not in draft.form.key
    }
    if emptied:
        empty = _Draft(
            draft.scope, draft.form, draft.outer, dict(draft.keys) | emptied, draft.entry, draft.wanted
        )
        try:
            return _rendered(reading, empty, wanted)
        except _Unwritable:
            pass
    return f"{reading.dialect.remark} the dump had no line for {draft.form.label}: nothing to take back to"


def _grouped(reading: Reading, lines: Iterable[tuple[_Draft, str]]) -> Iterator[str]:
    """Lines under the lines that open their scopes; those outside every scope first."""
    groups: dict[tuple[int, tuple[tuple[str, str], ...]], list[tuple[_Draft, str]]] = {}
    order = {id(scope): n for n, scope in enumerate(reading.dialect.scopes)}
    for draft, line in lines:
        groups.setdefault((order[id(draft.scope)], tuple(draft.outer.items())), []).append((draft, line))
    for (number, outer), group in sorted(groups.items(), key=lambda one: one[0]):
        scope = reading.dialect.scopes[number]
        if scope.opens:
            yield opening(reading, scope, dict(outer))
        yield from (line for _, line in group)
        if scope.form and scope.form.gifts:
            yield from _restored(reading, scope)


def opening(reading: Reading, scope: Scope, outer: Mapping[str, str]) -> str:
    """The line that opens a scope for the given keys."""
    if scope.opens is None:
        return ""
    texts = {
        name: scope.cells[name].codec.write(scope.cells[name].codec.parse(key)) for name, key in outer.items()
    }
    rendered = scope.opens.render(texts)
    return f"[{rendered}]" if reading.dialect.family == "sectioned" else rendered


def _restored(reading: Reading, scope: Scope) -> Iterator[str]:
    """The selector that was last in the dump, since the last one says which profile is active."""
    for entry in reversed(reading.entries):
        if entry.form is scope.form:
            yield entry.statement.shown
            return


__all__ = ["Lines", "identity", "opening", "write"]
