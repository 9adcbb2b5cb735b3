"""Which leaves of two models differ."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING

from cfgaudit.compare.difference import Canonical, Difference, canonical, same
from cfgaudit.model.model import Model
from cfgaudit.model.order import by_path
from cfgaudit.model.path import Path
from cfgaudit.model.value import Json

if TYPE_CHECKING:
    from deepdiff import DeepDiff

# A tree in which every list has become a mapping, so that no element's place in it matters.
Keyed = Canonical | dict[str, "Keyed"]

JOBS = "functions"  # the key whose list is a set of job words


def differences(a: Model, b: Model) -> tuple[Difference, ...]:
    """Every leaf that is not the same on both sides, by path.

    Values count, never origins: a default and an equal written value are the same, 1 is 1.0, and
    the jobs of a port are a set.
    """
    one, other = _branches(a), _branches(b)
    # Equal branches are dropped here, and flat ones compared by key: the library takes 80 µs a leaf.
    unequal = {stem for stem in one.keys() | other.keys() if one.get(stem) != other.get(stem)}
    if not unequal:
        return ()
    known = a.leaves.keys() | b.leaves.keys()
    flat = {stem for stem in unequal if _is_flat(one.get(stem)) and _is_flat(other.get(stem))}
    paths = {path for path in known if path[:2] in flat or path[:1] in flat}
    if nested := unequal - flat:
        paths |= set(
            _unequal_leaves(
                {stem: one[stem] for stem in nested & one.keys()},
                {stem: other[stem] for stem in nested & other.keys()},
                known,
            )
        )
    found = (Difference(path, a.at(path), b.at(path)) for path in sorted(paths, key=by_path))
    return tuple(it for it in found if not same(it.before, it.after, as_set=it.path[-1] == JOBS))


def _is_flat(branch: Keyed | None) -> bool:
    """Whether a branch is a value, values by name, or not there: nothing to go down into."""
    return not isinstance(branch, dict) or not any(isinstance(inner, dict) for inner in branch.values())


def _branches(model: Model) -> dict[Path, Keyed]:
    """The model's tree cut below its second level: (``ports``, ``UART4``) → what is under it."""
    branches: dict[Path, Keyed] = {}
    for section, inner in model.tree.items():
        if isinstance(inner, dict):
            branches |= {(section, key): _by_identity(key, node) for key, node in inner.items()}
        else:
            branches[(section,)] = _by_identity(section, inner)
    return branches


def _by_identity(key: str, node: Json) -> Keyed:
    """Lists become mappings: jobs by their word (their order means nothing), others by index."""
    if isinstance(node, dict):
        return {inner: _by_identity(inner, value) for inner, value in node.items()}
    if isinstance(node, list):
        words = [_by_identity("", word) for word in node]
        names = map(str, words) if key == JOBS else map(str, range(len(words)))
        return dict(zip(names, words, strict=True))
    return canonical(node) if node is not None else "\0nothing"


def _unequal_leaves(
    one: Mapping[Path, Keyed], other: Mapping[Path, Keyed], known: set[Path]
) -> Iterator[Path]:
    """The leaves at, above or below every node that the library reports."""
    deep_diff = _library()
    # ignore_order, max_diffs and group_by stay off: they are slow or silently return nothing.
    report = deep_diff(one, other, view="tree", ignore_private_variables=False, threshold_to_diff_deeper=0)
    for nodes in report.values():
        for node in nodes:
            stem, *rest = node.path(output_format="list")
            path: Path = (*stem, *rest)
            yield from (path[:end] for end in range(1, len(path)) if path[:end] in known)
            yield from _leaves_under(path, node.t1, known)
            yield from _leaves_under(path, node.t2, known)


@cache
def _library() -> type[DeepDiff]:
    """deepdiff, imported only where something differs: it takes longer than reading both dumps.

    Where pydantic is installed deepdiff imports that too, to compare its models, which doubles the
    time. Ours hold none, so for the moment of the import there is no pydantic.
    """
    absent = [name for name in ("pydantic", "pydantic.main") if name not in sys.modules]
    sys.modules.update(dict.fromkeys(absent))  # type: ignore[arg-type]  # None: not to be had
    try:
        from deepdiff import DeepDiff
    finally:
        for name in absent:
            del sys.modules[name]
    return DeepDiff


def _leaves_under(path: Path, node: object, known: set[Path]) -> Iterator[Path]:
    if path in known:
        yield path
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from _leaves_under((*path, key), inner, known)
