"""Ways into the plain trees of model and build: what is absent is answered, never a fault."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.model.value import Json

Tree = dict[str, Json]


def told(tree: Json, *keys: str) -> Json:
    """What stands at a path of keys, or None where nothing does."""
    for key in keys:
        if not isinstance(tree, dict):
            return None
        tree = tree.get(key)
    return tree


def branch(tree: Json, *keys: str) -> Tree:
    """The object at a path; an empty one where there is none."""
    inner = told(tree, *keys)
    return inner if isinstance(inner, dict) else {}


def word(tree: Json, *keys: str) -> str:
    """The text at a path; "" where there is none."""
    text = told(tree, *keys)
    return text if isinstance(text, str) else ""


def words(tree: Json, *keys: str) -> tuple[str, ...]:
    """The texts of the list at a path; a single text is a list of one."""
    inner = told(tree, *keys)
    entries = inner if isinstance(inner, list) else [inner]
    return tuple(entry for entry in entries if isinstance(entry, str))


def whole(tree: Json, *keys: str) -> int | None:
    """The whole number at a path, or None."""
    number = told(tree, *keys)
    return number if isinstance(number, int) and not isinstance(number, bool) else None


def wholes(tree: Json, *keys: str) -> tuple[int, ...]:
    """The whole numbers of the list at a path; a single number is a list of one."""
    inner = told(tree, *keys)
    entries = inner if isinstance(inner, list) else [inner]
    return tuple(one for one in entries if isinstance(one, int) and not isinstance(one, bool))


def branches(tree: Json, *keys: str) -> Iterator[tuple[str, Tree]]:
    """The objects below a path with their keys; what is no object is passed over."""
    for key, inner in branch(tree, *keys).items():
        if isinstance(inner, dict):
            yield key, inner


def entries(tree: Json, *keys: str) -> Iterator[tuple[int, Tree]]:
    """The objects in the list at a path with their places in it, counted from 0."""
    inner = told(tree, *keys)
    for index, entry in enumerate(inner if isinstance(inner, list) else ()):
        if isinstance(entry, dict):
            yield index, entry
