"""Which leaves of two models differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.compare.difference import Canonical, Difference, canonical, same
from cfgaudit.compare.order import by_path
from cfgaudit.model.model import Model
from cfgaudit.model.path import Path
from cfgaudit.model.value import Json

# A tree in which every list has become a mapping, so that no element's place in it matters.
Keyed = Canonical | dict[str, "Keyed"]

JOBS = "functions"  # the key whose list is a set of job words


def differences(a: Model, b: Model) -> tuple[Difference, ...]:
    """Every leaf that is not the same on both sides, by path.

    Values count, never origins: a default and an equal written value are the same, 1 is 1.0, and
    the jobs of a port are a set.
    """
    one, other = _branches(a), _branches(b)
    # Equal branches are dropped here: the library takes 80 µs a leaf, `==` a thousandth of it.
    unequal = {stem for stem in one.keys() | other.keys() if one.get(stem) != other.get(stem)}
    if not unequal:
        return ()
    paths = _unequal_leaves(
        {stem: one[stem] for stem in unequal & one.keys()},
        {stem: other[stem] for stem in unequal & other.keys()},
        a.leaves.keys() | b.leaves.keys(),
    )
    found = (Difference(path, a.at(path), b.at(path)) for path in sorted(set(paths), key=by_path))
    return tuple(it for it in found if not same(it.before, it.after, as_set=it.path[-1] == JOBS))


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
    from deepdiff import DeepDiff  # 80 ms to import: only where something differs

    # ignore_order, max_diffs and group_by stay off: they are slow or silently return nothing.
    report = DeepDiff(one, other, view="tree", ignore_private_variables=False, threshold_to_diff_deeper=0)
    for nodes in report.values():
        for node in nodes:
            stem, *rest = node.path(output_format="list")
            path: Path = (*stem, *rest)
            yield from (path[:end] for end in range(1, len(path)) if path[:end] in known)
            yield from _leaves_under(path, node.t1, known)
            yield from _leaves_under(path, node.t2, known)


def _leaves_under(path: Path, node: object, known: set[Path]) -> Iterator[Path]:
    if path in known:
        yield path
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from _leaves_under((*path, key), inner, known)
