"""The lines of a draft: what stands in them, what they were taken from, what a person must look at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from cfgaudit.model.describe import example, names_are_free, part
from cfgaudit.model.placed import Trail, read_yaml
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import build_schema
from cfgaudit.model.value import Json
from cfgaudit.model.written import written


class Entry(Struct, frozen=True):
    """One line of a draft, or a block of lines.

    ``told`` is false for a line to fill in, which stands behind a #. ``item`` marks an entry of a list:
    its key is a kind of device. Without a key it is a remark.
    """

    key: str
    value: Json = None
    inner: tuple[Entry, ...] = ()
    taken: tuple[str, ...] = ()  # the dump's lines that it was taken from: "46: out 3 turns m3 pin C9"
    look: str = ""  # what a person must look at, or why the dump cannot tell it
    told: bool = True
    item: bool = False

    @property
    def stands(self) -> bool:
        """Whether the line says something as it is; a block does if any line in it does."""
        if not self.inner:
            return self.told and bool(self.key)
        return self.told and (self.item or any(one.stands for one in self.inner))


def blank(trail: Trail, why: str, value: Json = None, taken: Iterable[str] = ()) -> Entry:
    """A line to fill in, with an example: the one given, or the schema's."""
    shown = example(build_schema(), trail) if value is None else value
    return Entry(str(trail[-1]), shown, taken=tuple(taken), look=why, told=False)


def remark(text: str, taken: Iterable[str] = ()) -> Entry:
    """A remark that stands by itself."""
    return Entry("", look=text, taken=tuple(taken))


def data_of(entries: Iterable[Entry]) -> dict[str, Json]:
    """What the lines say, as the sheet's data."""
    return {one.key: _value(one) for one in entries if one.stands}


def _value(entry: Entry) -> Json:
    if not entry.inner:
        return entry.value
    items = [one for one in entry.inner if one.item and one.stands]
    if items:
        return [{one.key: _value(one)} for one in items]
    return data_of(entry.inner) or None


def checked(entries: Iterable[Entry], trail: Trail = ()) -> tuple[Entry, ...]:
    """The lines, with those that no build sheet could hold turned into lines to fill in."""
    return tuple(_checked(entries, trail))


def _checked(entries: Iterable[Entry], trail: Trail) -> Iterator[Entry]:
    for entry in entries:
        here = (*trail, 0, entry.key) if entry.item else (*trail, entry.key)
        if entry.inner:
            yield replace(entry, inner=checked(entry.inner, here))
        elif not entry.key or entry.item or fits(here, entry.value):
            yield entry
        else:
            yield _unfit(entry, here)


def _unfit(entry: Entry, trail: Trail) -> Entry:
    value = entry.value
    if isinstance(value, dict):
        kept: dict[str, Json] = {key: one for key, one in value.items() if fits((*trail, key), one)}
        if kept and fits(trail, kept):
            gone = ", ".join(f"{key} ({written(value[key])})" for key in value if key not in kept)
            return replace(
                entry, value=kept, look=_and(entry.look, f"left out, no sheet can hold it: {gone}")
            )
    said = f"the dump says {written(value)[:80]}, which no build sheet can hold"
    if not _fits_name(trail):
        return remark(f"{entry.key[:80]}: {said}", entry.taken)
    return replace(entry, value=example(build_schema(), trail), look=_and(said, entry.look), told=False)


def _and(one: str, other: str) -> str:
    return "; ".join(filter(None, (one, other)))


def fits(trail: Trail, value: Json) -> bool:
    """Whether a build sheet can have a value at a trail, by its schema and as a text."""
    from jsonschema.validators import Draft202012Validator

    schema = build_schema()
    here: dict[str, Any] = {"$defs": schema["$defs"], **part(schema, trail)}
    return _fits_name(trail) and _is_text(value) and Draft202012Validator(here).is_valid(value)


def _fits_name(trail: Trail) -> bool:
    from jsonschema.validators import Draft202012Validator

    schema, name = build_schema(), trail[-1]
    above = part(schema, trail[:-1])
    if not names_are_free(schema, trail[:-1]) or "propertyNames" not in above:
        return True
    names = {"$defs": schema["$defs"], **above["propertyNames"]}
    return _is_text(name) and Draft202012Validator(names).is_valid(name)


def _is_text(value: Json) -> bool:
    """Whether a file may hold what is written in it: control characters may not stand in any."""
    try:
        read_yaml(f"a: {written(value)}", "")
    except Refusal:
        return False
    return True
