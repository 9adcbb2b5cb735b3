"""What is asked for in a history: a part of the vocabulary, or a setting by any of its firmware's names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from cfgaudit.compare.difference import canonical
from cfgaudit.compare.nested import JOBS
from cfgaudit.compare.told import Told, in_words, outside
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.form import Form, Scope
from cfgaudit.dialect.reading import Entry, Reading
from cfgaudit.dialect.setting import Setting, Whole, is_whole, settings
from cfgaudit.dialect.template import Word
from cfgaudit.model.model import HIDDEN, Leaf
from cfgaudit.model.path import Path, dotted

_HOLE = re.compile(r"\{[^}]*\}")
_UNKNOWN = "unknown line"


class Seen(Struct, frozen=True):
    """A setting in one text: how it is told, and what it is compared by."""

    told: Told
    held: object
    kin: str = ""  # of its line; "" of what stands in the header
    paths: tuple[Path, ...] = ()


Sight = Mapping[object, Seen]  # by the path, or by the setting's key, which is the same over versions


class Asked(Struct, frozen=True):
    """One thing that is looked for, or everything. ``text`` as the user wrote it, "" for everything."""

    text: str = ""
    kins: frozenset[str] = frozenset()  # only lines of these kinds, if any are named
    lines: frozenset[str] = frozenset()  # and these lines that nobody understands

    def sees(self, reading: Reading) -> Sight:
        """What a text says of it."""
        prefix = tuple(self.text.split("."))
        if self.text and self._is_path(reading, prefix):
            return dict(_leaves(reading, prefix))
        if self.text:
            return dict(self._named(reading))
        return {**dict(_leaves(reading, ())), **dict(_outside(reading)), **dict(_unknown(reading))}

    def concerns(self, dialect: Dialect, form: Form) -> bool:
        """Whether a line of this form can say anything of it."""
        if not self.text:
            return form.kin in self.kins
        prefix = tuple(self.text.split("."))
        return any(_leads(gift.path.segments, gift.path.holes, prefix) for gift in form.gifts) or (
            self._is_called(dialect, form)
        )

    def is_known(self, reading: Reading) -> bool:
        """Whether the text's firmware can say anything of it."""
        dialect = reading.recognition.dialect
        forms = (form for scope in dialect.scopes for form in scope.all_forms())
        return bool(self.sees(reading)) or any(self.concerns(dialect, form) for form in forms)

    def _is_path(self, reading: Reading, prefix: Path) -> bool:
        if any(path[: len(prefix)] == prefix for path in reading.model.leaves):
            return True
        forms = (form for scope in reading.dialect.scopes for form in scope.all_forms())
        return any(
            _leads(gift.path.segments, gift.path.holes, prefix) for form in forms for gift in form.gifts
        )

    def _is_called(self, dialect: Dialect, form: Form) -> bool:
        name = self.text.rpartition(" / ")[2]
        if form.name:
            return name in names_of(dialect, form)
        return form.line.words[0].match(name.partition(" ")[0]) is not None

    def _named(self, reading: Reading) -> Iterator[tuple[object, Seen]]:
        scope, _, name = self.text.rpartition(" / ")
        for slot, entry in reading.in_force.items():
            if (scope and entry.head != scope) or entry.opens:
                continue
            form = entry.form
            if form.name:
                fits = self._is_called(reading.recognition.dialect, form)
            else:
                fits = name in (form.line.keyword, form.named(entry.texts))
            if fits:
                for one in settings(slot, entry, whole=is_whole(form)):
                    yield one.key, _of_setting(reading, entry, one)


def names_of(dialect: Dialect, form: Form) -> frozenset[str]:
    """Every name that a setting has had, in whatever version."""
    names = {form.kin, form.name}
    for _, renamed in dialect.renamed:
        names |= {new for old, new in renamed.items() if old in names}
    return frozenset(names)


def matters(asked: Asked, reading: Reading) -> re.Pattern[str] | None:
    """What a line has in it that can say anything of what is asked, or that opens a scope.

    None if that cannot be told by a line alone.
    """
    dialect, whole = reading.dialect, reading.recognition.dialect
    forms = [form for scope in dialect.scopes for form in (*scope.settings.values(), *scope.forms)]
    wanted = [form for form in forms if asked.concerns(whole, form)]
    if any(map(_is_of_outputs, wanted)):  # a pin is told by its motor, which may stand in another line
        wanted += filter(_is_of_outputs, forms)
    words = [Word(form.name, None) if form.name else form.line.words[0] for form in wanted]
    parts = [*map(_in_a_line, words), *map(re.escape, asked.lines)]
    if any(part is None for part in parts):
        return None
    openings = [_opening(scope) for scope in dialect.scopes if scope.opens]
    if dialect.family == "sectioned":
        openings = [r"^[ \t]*\["]
    return re.compile("|".join(filter(None, (*openings, *parts))) or "(?!)")


def _is_of_outputs(form: Form) -> bool:
    return any(gift.path.segments[0] == "outputs" for gift in form.gifts)


def _in_a_line(word: Word) -> str | None:
    fixed = _HOLE.split(word.text)
    if not any(fixed):
        return None
    return rf"(?<![\w.-]){'[^ ,]+?'.join(map(re.escape, fixed))}(?![\w.-])"


def _opening(scope: Scope) -> str:
    word = scope.opens.words[0] if scope.opens else Word("", None)
    return rf"^[ \t]*{'[^ ,]+?'.join(map(re.escape, _HOLE.split(word.text)))}"


def _leads(segments: Iterable[str], holes: Iterable[bool], prefix: Path) -> bool:
    """Whether the paths of a template begin so, or the other way round."""
    pairs = zip(segments, holes, prefix, strict=False)
    return all(hole or segment == key for segment, hole, key in pairs)


def _leaves(reading: Reading, prefix: Path) -> Iterator[tuple[object, Seen]]:
    for path, leaf in reading.model.leaves.items():
        if path[: len(prefix)] == prefix:
            giver = reading.givers.get(path)
            told = in_words(reading, path, leaf)
            yield path, Seen(told, _held(path, leaf), giver.form.kin if giver else "", (path,))


def _held(path: Path, leaf: Leaf) -> object:
    content = canonical(leaf.value)
    return frozenset(content) if path[-1] == JOBS and isinstance(content, tuple) else content


def _outside(reading: Reading) -> Iterator[tuple[object, Seen]]:
    """Settings that no path of the model takes."""
    for slot, entry in reading.in_force.items():
        if not entry.opens:
            for one in settings(slot, entry, whole=is_whole(entry.form)):
                if not any(path in reading.model.leaves for path in one.paths):
                    yield one.key, _of_setting(reading, entry, one)


def _of_setting(reading: Reading, entry: Entry, one: Setting) -> Seen:
    told = _words_of(reading, one)
    if isinstance(one.value, Whole):
        held: object = entry.form.line.text, tuple((*at, canonical(value)) for *at, value in one.value.cells)
    else:
        held = canonical(one.value)
    return Seen(told, held, entry.form.kin, one.paths)


def _words_of(reading: Reading, one: Setting) -> Told:
    if len(one.paths) == 1 and (leaf := reading.model.leaves.get(one.paths[0])):
        return in_words(reading, one.paths[0], leaf)
    told = outside(reading, one.label, Leaf(one.written, one.origin))
    if one.private and one.cell:
        return outside(reading, one.label, Leaf(one.entry.texts[one.cell].strip('"'), one.origin))
    return Told(told.subject, "", HIDDEN, "", private=True) if one.private else told


def _unknown(reading: Reading) -> Iterator[tuple[object, Seen]]:
    for one in reading.unknown:
        text = " ".join(one.text.split())
        yield (_UNKNOWN, text), Seen(Told(_UNKNOWN, "", " ".join(reading.shown(one).split()), ""), text)


def line_of(key: object) -> str:
    """The line that a key is of that nobody understands; "" of another key."""
    return key[1] if isinstance(key, tuple) and len(key) == 2 and key[0] == _UNKNOWN else ""


def nearest(reading: Reading, text: str) -> str:
    """What a name that nobody knows may have been meant to be."""
    from difflib import get_close_matches

    names = {dotted(path) for path in reading.model.leaves} | {entry.label for entry in reading.entries}
    close = get_close_matches(text, sorted(names), 1)
    return close[0] if close else ""
