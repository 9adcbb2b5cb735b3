"""Model → statements: the lines that bring a dump's configuration to wanted values, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct, field

from cfgaudit.dialect.cell import Undeclared
from cfgaudit.dialect.codec.codec import Fields, Misfit
from cfgaudit.dialect.form import Form, Gift, Scope
from cfgaudit.dialect.read import factory_entries, sort
from cfgaudit.dialect.reading import Entry, Reading, Slot, slot
from cfgaudit.dialect.wait import longest
from cfgaudit.dump.read import read_statements
from cfgaudit.dump.text import Text
from cfgaudit.model.model import Leaf
from cfgaudit.model.path import Path, dotted
from cfgaudit.model.value import Value, spoken


class Lines(Struct, frozen=True):
    """Lines to paste, the lines that take them back, and what could not be written.

    ``wait`` is what the lines take effect after: "restart", "power cycle"; "" if at once.
    """

    lines: tuple[str, ...]
    undo: tuple[str, ...]
    cannot: tuple[str, ...] = ()
    wait: str = ""

    @property
    def complete(self) -> bool:
        """Whether everything that was wanted could be written."""
        return not self.cannot


class _Unwritable(Exception):
    """A value this dialect has no way to write, with the reason."""


class _Way(Struct, frozen=True):
    """One way to give a path its value: a gift of a form, and the keys that the path names."""

    scope: Scope
    form: Form
    gift: Gift
    outer: Mapping[str, str]
    keys: Mapping[str, str]  # path segments by cell
    slot: Slot
    value: Value


class _Draft(Struct, frozen=True):
    """A line in the making: one form, one key, the values its cells shall have."""

    scope: Scope
    form: Form
    outer: Mapping[str, str]
    keys: Mapping[str, str]
    entry: Entry | None  # the line in force in its slot, if there is one
    wanted: tuple[tuple[Gift, Value], ...] = ()

    @property
    def held(self) -> Mapping[str, str]:
        """The cells of the line in force, if it is of the same form."""
        return self.entry.texts if self.entry and self.entry.form is self.form else {}

    @property
    def opens(self) -> bool:
        return self.form is self.scope.form


class _Desk(Struct, frozen=True):
    """A reading, laid out for writing."""

    reading: Reading
    declared: dict[tuple[int, tuple[str, ...]], dict[Slot, Entry]] = field(default_factory=dict)

    def factory(self, scope: Scope, outer: Mapping[str, str], at: Slot) -> Entry | None:
        """The line that an untouched firmware has in a slot, if the dialect declares one."""
        where = (id(scope), tuple(outer.values()))
        if where not in self.declared:
            entries = factory_entries(self.reading.dialect, scope, outer, "")
            self.declared[where] = {entry.slot: entry for entry in entries}
        return self.declared[where].get(at)


def write(reading: Reading, wanted: Mapping[Path, Value]) -> Lines:
    """The lines that give each path its wanted value, one line for each setting or row.

    Cells that are not to change keep what the dump says. What the dialect has no form for, or no
    word, comes back under ``cannot``; the other lines are still good.
    """
    desk = _Desk(reading)
    slots: dict[Slot, dict[Path, list[_Way]]] = {}
    cannot = []
    for path, value in wanted.items():
        try:
            ways = _ways(desk, path, value)
        except _Unwritable as reason:
            cannot.append(str(reason))
        else:
            slots.setdefault(ways[0].slot, {})[path] = ways
    made = []
    for at, paths in slots.items():
        try:
            draft = _draft(desk, at, paths)
            made.append((draft, _line(desk, draft), _undone(desk, draft, at)))
        except _Unwritable as reason:
            cannot.append(str(reason))
    return Lines(
        tuple(_grouped(desk, [(draft, line) for draft, line, _ in made])),
        tuple(_grouped(desk, [(draft, line) for draft, _, line in made])),
        tuple(dict.fromkeys(cannot)),
        longest(reading.after(path) for paths in slots.values() for path in paths),
    )


# Which line can say it


def _ways(desk: _Desk, path: Path, value: Value) -> list[_Way]:
    """The ways to give a path, all by the same line: the one in force if there is one."""
    reading = desk.reading
    giver = reading.givers.get(path)
    options = [_way(*option, value) for option in reading.dialect.giving(path)]
    ways = [way for way in options if way]
    if giver:
        ways = [way for way in ways if way.slot == giver.shared_slot] or ways
        ways.sort(key=lambda way: way.form is not giver.form)
    if ways:
        return [way for way in ways if way.slot == ways[0].slot]
    if options:
        raise _Unwritable(f"{dotted(path)}: no line of {reading.dialect.name} can be made from it alone")
    raise _Unwritable(f"{reading.dialect.name} has no setting for {dotted(path)}")


def _way(scope: Scope, form: Form, gift: Gift, keys: Mapping[str, str], value: Value) -> _Way | None:
    """A way, if the path says all of the scope's cells and of the form's key."""
    if form is scope.form:
        return _Way(scope, form, gift, {}, keys, slot(scope, form, {}, ()), value)
    outer = {name: keys[name] for name in scope.cells if name in keys}
    own = {name: key for name, key in keys.items() if name not in scope.cells}
    if len(outer) < len(scope.cells) or not all(name in own for name in form.key):
        return None
    at = slot(scope, form, outer, tuple(own[name] for name in form.key))
    return _Way(scope, form, gift, outer, own, at, value)


def _draft(desk: _Desk, at: Slot, paths: Mapping[Path, Sequence[_Way]]) -> _Draft:
    """The line that says all that is wanted of a slot."""
    entry = desk.reading.in_force.get(at)
    forms = [way.form for way in next(iter(paths.values()))]
    if entry:
        forms.sort(key=lambda form: form is not entry.form)
    for form in forms:
        ways = [next((way for way in some if way.form is form), None) for some in paths.values()]
        chosen = [way for way in ways if way]
        if len(chosen) < len(paths):
            continue
        keys: dict[str, str] = {}
        for way in chosen:
            for name, key in way.keys.items():
                if keys.setdefault(name, key) != key:
                    raise _Unwritable(f"{_said(paths)}: one line cannot say both {keys[name]} and {key}")
        draft = _Draft(
            chosen[0].scope,
            form,
            chosen[0].outer,
            keys,
            entry,
            tuple((way.gift, way.value) for way in chosen),
        )
        _check_free(draft)
        if entry is None:
            _check_scope(draft)
        return draft
    raise _Unwritable(f"{_said(paths)}: no one line of {desk.reading.dialect.name} says all of them")


def _said(paths: Iterable[Path]) -> str:
    return ", ".join(dotted(path) for path in paths)


def _check_free(draft: _Draft) -> None:
    """A row that serves something else by its own words is not taken over."""
    for name, text in draft.held.items():
        held = draft.form.segment(name, text)
        if name in draft.keys and held not in (draft.keys[name], "none"):
            label = draft.entry.label if draft.entry else draft.form.label
            raise _Unwritable(f"{label} is in use for {held}, so not free for {draft.keys[name]}")


def _check_scope(draft: _Draft) -> None:
    """A new line goes only into a scope that the firmware can have."""
    for name, key in draft.outer.items():
        cell = draft.scope.cells[name]
        try:
            wrong = cell.outside(cell.codec.parse(key))
        except Misfit as misfit:
            wrong = misfit.why
        if wrong:
            label = draft.scope.opens.text if draft.scope.opens else ""
            raise _Unwritable(f"{label}: {key} {wrong}")


# What the line says


def _line(desk: _Desk, draft: _Draft) -> str:
    """The draft's line: wanted cells encoded, path cells from the keys, the others as they are."""
    texts = {name: _cell_text(desk, draft, name) for name in draft.form.line.cells}
    line = draft.form.line.render(texts)
    if not _reads_back(desk, draft, line, texts):
        raise _Unwritable(f"{draft.form.label}: {line!r} would be read back as something else")
    return _as_typed(desk, draft, line)


def _as_typed(desk: _Desk, draft: _Draft, line: str) -> str:
    return f"[{line}]" if draft.opens and desk.reading.dialect.family == "sectioned" else line


def _reads_back(desk: _Desk, draft: _Draft, line: str, texts: Mapping[str, str]) -> bool:
    """Whether a line, typed in its scope, would be taken for what it is meant."""
    dialect = desk.reading.dialect
    typed = [_as_typed(desk, draft, line)]
    if draft.scope.opens and not draft.opens:
        typed.insert(0, _opening(desk, draft.scope, draft.outer))
    text = Text("", "\n".join(typed), "utf-8", mark=False)
    entries = sort(dialect, read_statements(text, dialect.family).statements).entries
    return len(entries) == len(typed) and entries[-1].form is draft.form and entries[-1].texts == texts


def _cell_text(desk: _Desk, draft: _Draft, name: str) -> str:
    cell = draft.form.cells[name]
    gifts = [(gift, value) for gift, value in draft.wanted if gift.cell == name]
    held = draft.held.get(name)
    value: Value | Fields
    try:
        if name in draft.keys:
            if held is not None and draft.form.segment(name, held) == draft.keys[name]:
                return held
            value = cell.codec.parse(draft.keys[name])
        elif not gifts:
            if held is not None:
                return held
            value = _believed(desk, draft, name)
        elif gifts[0][0].field:
            value = _fields(desk, draft, name, gifts)
        else:
            value = gifts[-1][1]
        text = cell.codec.write(value)
        if wrong := cell.outside(value):
            raise _Unwritable(f"{draft.form.label}: {spoken(value)} {wrong}")
        return text
    except Misfit as misfit:
        said = spoken(gifts[-1][1]) if gifts else draft.keys.get(name, held or name)
        raise _Unwritable(f"{draft.form.label}: {said} {misfit.why}") from None


def _fields(desk: _Desk, draft: _Draft, name: str, gifts: Sequence[tuple[Gift, Value]]) -> Fields:
    """All fields of a packed cell: those wanted, the others as the line in force has them."""
    wanted = {gift.field: value for gift, value in gifts}
    cell = draft.form.cells[name]
    if wanted.keys() >= cell.fields.keys():
        return wanted
    held = cell.codec.read(draft.held[name]) if name in draft.held else _believed(desk, draft, name)
    return {**held, **wanted} if isinstance(held, Mapping) else wanted


def _believed(desk: _Desk, draft: _Draft, name: str) -> Value | Fields:
    """What a cell of a new line should hold: what the model says, else what the dialect declares."""
    keys = dict(draft.outer) | dict(draft.keys)
    fields: dict[str, Value] = {}
    for gift in draft.form.gifts:
        if gift.cell == name and all(cell in keys for cell in gift.path.cells):
            leaf = desk.reading.model.at(gift.path.fill(keys))
            if isinstance(leaf, Leaf):
                if not gift.field:
                    return leaf.value
                fields[gift.field] = leaf.value
    if fields:
        return fields
    cell = draft.form.cells[name]
    if not isinstance(cell.default, Undeclared):
        return cell.default
    entry = _factory(desk, draft)
    if entry and entry.form is draft.form:
        return cell.codec.read(entry.texts[name])
    raise _Unwritable(f"{draft.form.label}: nothing says what {name} should be")


def _factory(desk: _Desk, draft: _Draft) -> Entry | None:
    keys = tuple(draft.keys.get(name, "") for name in draft.form.key)
    return desk.factory(draft.scope, draft.outer, slot(draft.scope, draft.form, draft.outer, keys))


def _undone(desk: _Desk, draft: _Draft, at: Slot) -> str:
    """The line that takes a draft back: the one in force, the default, or a row that says none."""
    entry = draft.entry or _factory(desk, draft)
    if entry:
        return _as_typed(desk, draft, entry.form.line.render(entry.texts))
    in_paths = {name for gift in draft.form.gifts for name in gift.path.cells}
    emptied = dict.fromkeys(in_paths & draft.form.cells.keys() - set(draft.form.key), "none")
    if emptied:
        keys = dict(draft.keys) | emptied
        try:
            return _line(desk, _Draft(draft.scope, draft.form, draft.outer, keys, None, draft.wanted))
        except _Unwritable:
            pass
    sign = desk.reading.dialect.remark
    return f"{sign} the dump had no line for {draft.form.label}: nothing to take back to"


# In which order the lines are typed


def _grouped(desk: _Desk, lines: Sequence[tuple[_Draft, str]]) -> Iterator[str]:
    """Lines under the lines that open their scopes; those outside every scope first."""
    for scope in desk.reading.dialect.scopes:
        groups: dict[tuple[str, ...], list[tuple[_Draft, str]]] = {}
        chosen = [line for draft, line in lines if draft.scope is scope and draft.opens]
        for draft, line in lines:
            if draft.scope is scope and not draft.opens:
                groups.setdefault(tuple(draft.outer.values()), []).append((draft, line))
        opened = ""
        for outer in sorted(groups):
            if scope.opens:
                opened = _opening(desk, scope, groups[outer][0][0].outer)
                yield opened
            yield from (line for _, line in groups[outer])
        if chosen:
            yield from chosen
        elif opened and scope.form and scope.form.gifts:
            yield from _restored(desk, scope, opened)


def _opening(desk: _Desk, scope: Scope, outer: Mapping[str, str]) -> str:
    """The line that opens a scope for the given keys."""
    if scope.opens is None:
        return ""
    try:
        texts = {name: cell.codec.write(cell.codec.parse(outer[name])) for name, cell in scope.cells.items()}
    except Misfit as misfit:
        keys = ", ".join(outer.values())
        raise _Unwritable(f"{scope.opens.text}: {keys} {misfit.why}") from None
    rendered = scope.opens.render(texts)
    return f"[{rendered}]" if desk.reading.dialect.family == "sectioned" else rendered


def _restored(desk: _Desk, scope: Scope, opened: str) -> Iterator[str]:
    """The selector that was last in the dump, since the last one says which profile is active."""
    for entry in reversed(desk.reading.entries):
        if entry.form is scope.form and scope.opens:
            last = scope.opens.render(entry.texts)
            last = f"[{last}]" if desk.reading.dialect.family == "sectioned" else last
            if last != opened:
                yield last
            return
