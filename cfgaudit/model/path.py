"""Paths into the neutral model and the build sheet: ``ports.UART4.functions``.

A path is a tuple of keys. Keys of the model never hold a dot; keys of a build sheet may (a rail
named ``3.3V``), which is why code passes tuples and only people read the dotted form.
"""

from __future__ import annotations

Path = tuple[str, ...]


def parse(text: str) -> Path:
    """``"ports.UART4.functions"`` → ``("ports", "UART4", "functions")``; the empty text is the root."""
    return tuple(text.split(".")) if text else ()


def dotted(path: Path) -> str:
    """The form people write and read."""
    return ".".join(path)
