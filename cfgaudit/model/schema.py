"""Check data with places against a JSON Schema, and say what is wrong as a builder would.

Schemas are draft 2020-12. Their descriptions are used in messages: the first sentence of each
begins with a noun, so that "write " can stand before it, and ``examples`` shows how it is written.
A schema for users' files keeps away from ``uniqueItems``, which compares each entry with each.
"""

from __future__ import annotations

import difflib
import hashlib
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from msgspec import Struct

from cfgaudit.kept import keep_accepted, was_accepted
from cfgaudit.model.place import Place
from cfgaudit.model.placed import Placed, Trail, shown
from cfgaudit.model.refusal import Refusal

FAULTS_MOST = 200  # looked at; a file with more is no file of this kind
_LISTED_MOST = 16

_TYPES = {
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "array": "a list",
    "object": "keys and values",
    "null": "nothing",
}


def check(placed: Placed, schema: Mapping[str, Any], what: str, *, remembered: bool = True) -> None:
    """Raise a Refusal for the fault that stands first in the file, with the number of further ones.

    ``what`` is what the file should be, as people call it ("build sheet"). A text that this schema has
    accepted before is not looked at again: loading the validator takes longer than all the rest. Where
    many files are checked, not ``remembered``, the validator is there and looking again is cheaper.
    """
    if not remembered:
        _check(placed, schema, what)
        return
    digest = _digest(placed.text, schema)
    if not was_accepted(digest):
        _check(placed, schema, what)
        keep_accepted(digest)


def _digest(text: str, schema: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps([schema, text]).encode()).hexdigest()


def faults(placed: Placed, schema: Mapping[str, Any], what: str) -> tuple[Refusal, ...]:
    """Every fault that the schema finds, in the order of the file: at most FAULTS_MOST are looked at."""
    found = sorted(_found(placed, schema, what)[0], key=lambda fault: fault.place)
    return tuple(Refusal(*_sentence(fault), fault.place) for fault in found)


def _check(placed: Placed, schema: Mapping[str, Any], what: str) -> None:
    found, more_may_follow = _found(placed, schema, what)
    if not found:
        return
    first = min(found, key=lambda fault: fault.place)
    more = len(found) - 1
    least = "at least " if more_may_follow else ""
    said, mend = _sentence(first)
    raise Refusal(said, mend + (f" (and {least}{more} more)" if more else ""), first.place)


def _found(placed: Placed, schema: Mapping[str, Any], what: str) -> tuple[list[_Fault], bool]:
    """The faults, each once, and whether there may be more of them than were looked at."""
    from jsonschema.validators import Draft202012Validator
    from referencing import Registry

    # The empty registry keeps a schema's references inside the schema: nothing asks a network.
    validator = Draft202012Validator(schema, registry=Registry())
    errors = (error for top in validator.iter_errors(placed.data) for error in _nearest(top))
    page = _Page(placed, schema, what)
    found = [*islice((fault for error in errors for fault in _faults(error, page)), FAULTS_MOST)]
    each = {(fault.trail, fault.key, fault.error.validator): fault for fault in found}
    told = [fault for fault in each.values() if not _is_misspelt(fault, each.values())]
    return told, len(found) == FAULTS_MOST


class _Page(Struct, frozen=True):
    """The file that is checked, and what it should be."""

    placed: Placed
    schema: Mapping[str, Any]
    kind: str


class _Fault(Struct, frozen=True):
    """One of the validator's errors with what is needed to put it into words."""

    error: Any
    page: _Page
    key: str | None = None  # the key of the object that the fault is about

    @property
    def trail(self) -> Trail:
        return tuple(self.error.absolute_path)

    @property
    def place(self) -> Place:
        placed = self.page.placed
        keyed = None if self.key is None else placed.keys.get((*self.trail, self.key))
        return keyed or placed.named(self.trail)

    @property
    def name(self) -> str:
        """The place in the data as people say it: ``devices.1.digital video``."""
        if not self.trail:
            return f"the {self.page.kind}"
        first, *steps = self.trail  # a file that is a list has no better name for what is in it
        start = f"entry {first + 1}" if isinstance(first, int) else shown(first)
        return ".".join([start, *map(shown, steps)])

    @property
    def said(self) -> str:
        """The value as a message names it."""
        value = self.error.instance
        if isinstance(value, str):
            return f"'{shown(value)}'"
        return "empty" if value is None else shown(value)

    @property
    def about(self) -> Mapping[str, Any]:
        """The words of the schema on the value: a reference's own, then those of what it refers to."""
        root = self.page.schema
        found: Any = root
        try:
            for step in [*self.error.absolute_schema_path][:-1]:  # the last one is the keyword
                found = (found if isinstance(step, int) or step in found else referred(found, root))[step]
            return referred(found, root)
        except (KeyError, TypeError):  # a reference of another kind than this program's schemas have
            return self.error.schema if isinstance(self.error.schema, Mapping) else {}


def _nearest(error: Any) -> Iterable[Any]:
    """The errors of the alternative that the value comes closest to; the error itself if it is plain."""
    if error.validator not in ("anyOf", "oneOf") or not error.context:
        return (error,)
    branches: dict[int, list[Any]] = {}
    for inner in error.context:
        branches.setdefault(inner.relative_schema_path[0], []).append(inner)
    of_its_type = [
        errors
        for errors in branches.values()
        if not any(one.validator == "type" and not one.relative_path for one in errors)
    ]
    if not of_its_type:
        return (error,)
    return [nearest for one in min(of_its_type, key=len) for nearest in _nearest(one)]


def referred(schema: Mapping[str, Any], root: Mapping[str, Any]) -> Mapping[str, Any]:
    """A schema with that which it refers to (inside the same file) under it."""
    for _ in range(len(root)):  # a chain that is longer runs in a circle
        if "$ref" not in schema:
            break
        aim: Any = root
        for step in str(schema["$ref"]).split("/")[1:]:
            aim = aim[step]
        schema = {**aim, **{key: value for key, value in schema.items() if key != "$ref"}}
    return schema


def _faults(error: Any, page: _Page) -> Iterator[_Fault]:
    """An error of an object's keys is one fault for each key."""
    keys: Iterable[str | None] = (None,)
    schema, instance = error.schema, error.instance
    if _of_a_key(error):
        keys = (instance,)
    elif error.validator == "additionalProperties" and error.validator_value is False:
        patterns = [re.compile(pattern) for pattern in schema.get("patternProperties", ())]
        known = schema.get("properties", ())
        keys = (key for key in instance if key not in known and not any(p.search(key) for p in patterns))
    elif error.validator == "required":
        keys = (key for key in error.validator_value if key not in instance)
    yield from (_Fault(error, page, key) for key in keys)


def _is_misspelt(fault: _Fault, faults: Iterable[_Fault]) -> bool:
    """Whether a key that is missing stands there in another spelling, which is a fault of its own."""
    unknown = (
        other.key or ""
        for other in faults
        if other.trail == fault.trail and other.error.validator == "additionalProperties"
    )
    missing = fault.error.validator == "required"
    return missing and any(_near(one, [fault.key]) for one in unknown)


def _of_a_key(error: Any) -> bool:
    path = error.relative_schema_path
    return len(path) > 1 and path[-2] == "propertyNames"


_Words = tuple[str, str]  # what is wrong, how to mend it


def _sentence(fault: _Fault) -> _Words:
    error = fault.error
    if _of_a_key(error):
        near = _near(error.instance, error.schema.get("enum", ()))
        mend = f"a key here is {meaning(fault.about)}" + _example(fault.about)
        if error.validator == "enum":
            mend = f"keys here are {_listed(error.validator_value)}"
        return f"{fault.name} knows no key {fault.said}", near + mend
    say = _SENTENCES.get(error.validator)
    return say(fault) if say else (f"{fault.name}: {shown(error.message, 160)}", _wanted(fault.about))


def _unknown_key(fault: _Fault) -> _Words:
    known = list(fault.error.schema.get("properties", ()))
    mend = f"{_near(fault.key or '', known)}keys here are {_listed(known)}" if known else "remove it"
    return f"{fault.name} knows no key '{shown(fault.key)}'", mend


def _missing_key(fault: _Fault) -> _Words:
    inner = referred(fault.error.schema.get("properties", {}).get(fault.key, {}), fault.page.schema)
    told = meaning(inner)
    mend = f"add '{fault.key}'" + (f": {told}" if told else "") + _example(inner)
    return f"{fault.name} lacks the key '{fault.key}'", mend


def _empty(fault: _Fault) -> _Words:
    return f"{fault.name} is empty", f"{_wanted(fault.about)}, or remove the line"


def _wrong_type(fault: _Fault) -> _Words:
    error = fault.error
    if error.instance is None:
        return _empty(fault)
    wanted = error.validator_value
    words = [_TYPES.get(one, one) for one in ([wanted] if isinstance(wanted, str) else wanted)]
    return f"{fault.name} is {fault.said}, where {_either(words)} must be", _wanted(fault.about)


def _not_listed(fault: _Fault) -> _Words:
    error = fault.error
    if error.instance is None:
        return _empty(fault)
    allowed = [error.validator_value] if error.validator == "const" else error.validator_value
    near = _near(error.instance, allowed) if isinstance(error.instance, str) else ""
    told = meaning(fault.about)
    what = f"{fault.name} is {fault.said}, which it cannot be"
    return what, f"{near}it can be {_listed(allowed)}" + (f" ({told})" if told else "")


def _wrong_pattern(fault: _Fault) -> _Words:
    return f"{fault.name} is {fault.said}, which cannot be read", _wanted(fault.about)


def _beyond(relation: str) -> Callable[[_Fault], _Words]:
    def words(fault: _Fault) -> _Words:
        error = fault.error
        what = f"{fault.name} is {fault.said}, but must be {relation} {shown(error.validator_value)}"
        return what, _wanted(fault.about)

    return words


def _wrong_length(fault: _Fault) -> _Words:
    error = fault.error
    if error.instance == "":
        return _empty(fault)
    of = error.validator[3:]  # minItems, maxProperties … → Items, Properties …
    one, several = {"Items": ("entry", "entries"), "Properties": ("key", "keys")}.get(
        of, ("character", "characters")
    )
    low, high = error.schema.get(f"min{of}"), error.schema.get(f"max{of}")
    counts = f"{low} to {high}"
    if low is None or high is None or low == high:
        counts = f"{'at least ' if high is None else 'at most ' if low is None else ''}{high or low}"
    has = len(error.instance)
    return f"{fault.name} has {has} {one if has == 1 else several} instead of {counts}", _wanted(fault.about)


def _fits_nowhere(fault: _Fault) -> _Words:
    return f"{fault.name} is {fault.said}, which cannot be here", _wanted(fault.about)


_SENTENCES: Mapping[str, Callable[[_Fault], _Words]] = {
    "additionalProperties": _unknown_key,
    "required": _missing_key,
    "type": _wrong_type,
    "enum": _not_listed,
    "const": _not_listed,
    "pattern": _wrong_pattern,
    "minimum": _beyond("at least"),
    "maximum": _beyond("at most"),
    "exclusiveMinimum": _beyond("more than"),
    "exclusiveMaximum": _beyond("less than"),
    "multipleOf": _beyond("a multiple of"),
    "minItems": _wrong_length,
    "maxItems": _wrong_length,
    "minProperties": _wrong_length,
    "maxProperties": _wrong_length,
    "minLength": _wrong_length,
    "maxLength": _wrong_length,
    "anyOf": _fits_nowhere,
    "oneOf": _fits_nowhere,
}


def meaning(schema: Mapping[str, Any]) -> str:
    """The first sentence of a description as the part of another: a small letter, no full stop."""
    text = schema.get("description")
    if not isinstance(text, str):
        return ""
    first = text.split(". ")[0].removesuffix(".")
    return first if first[1:2].isupper() else first[:1].lower() + first[1:]


def _wanted(schema: Mapping[str, Any]) -> str:
    """What to write, from the schema's own words."""
    told = meaning(schema)
    if told:
        return f"write {told}{_example(schema)}"
    return _example(schema, "write it like ") or "write it as the schema says"


def _example(schema: Mapping[str, Any], lead: str = ", for example ") -> str:
    return next((f"{lead}{_flow(example)}" for example in schema.get("examples", ())), "")


def _flow(value: Any) -> str:
    """A value as one would write it in one line of YAML."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {_flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    return shown(value)


def _near(word: str, known: Iterable[Any]) -> str:
    """``did you mean 'port'? `` if one of the known words is spelt almost like it."""
    words = {one.casefold(): one for one in reversed([one for one in known if isinstance(one, str)])}
    found = difflib.get_close_matches(word[:60].casefold(), words, n=1, cutoff=0.6)
    return f"did you mean '{shown(words[found[0]])}'? " if found else ""


def _listed(allowed: Iterable[Any]) -> str:
    """The words in their order, each in its first spelling only."""
    first: dict[str, str] = {}
    for one in allowed:
        first.setdefault(shown(one).casefold(), shown(one))
    words = list(first.values())
    more = ["…"] if len(words) > _LISTED_MOST else []
    return ", ".join([*words[:_LISTED_MOST], *more])


def _either(words: list[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
