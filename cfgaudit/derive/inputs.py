"""Numbers from the trees of model and build: the number, or what is missing by its path."""

from __future__ import annotations

from cfgaudit.derive.missing import Missing
from cfgaudit.derive.tree import Tree, told


def number(tree: Tree, root: str, *keys: str) -> float | Missing:
    """The number at a path below ``root`` ("model" or "build"); Missing where there is none.

    What is there but no number is of no use, and said to be so.
    """
    value = told(tree, *keys)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    return Missing((".".join((root, *keys)),), "" if value is None else f"{keys[-1]} is no number")


def above_zero(tree: Tree, root: str, *keys: str) -> float | Missing:
    """As ``number``, of a rate or a size that something is divided by: 0 is of no use either."""
    value = number(tree, root, *keys)
    if isinstance(value, Missing) or value > 0:
        return value
    return Missing((".".join((root, *keys)),), f"nothing comes of a {keys[-1]} of {value}")
