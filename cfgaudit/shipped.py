"""Where the files that ship with the program are: grammars and rules."""

from __future__ import annotations

import pathlib

_PACKAGE = pathlib.Path(__file__).parent


def shipped(folder: str, package: pathlib.Path = _PACKAGE) -> pathlib.Path:
    """The folder ``grammars`` or ``rules``.

    A wheel carries it inside the package; in a checkout it stands beside the package, where
    people look for it. ``package`` is this package's own folder (a parameter for the tests).
    """
    inside = package / folder
    return inside if inside.is_dir() else package.parent / folder
