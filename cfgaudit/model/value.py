"""The values a leaf of the model can hold, and how people read them."""

from __future__ import annotations

Scalar = bool | int | float | str
Value = Scalar | tuple[Scalar, ...]

# What a tree handed to rules and reports is made of: JSON, nothing else.
Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]


def jsonable(value: Value) -> Json:
    """The same value as JSON: tuples become lists."""
    return list(value) if isinstance(value, tuple) else value


def spoken(value: object) -> str:
    """A value as a sentence says it: ``yes``, ``3.5``, ``receiver and telemetry``, ``nothing``."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, list | tuple):
        words = [spoken(one) for one in value]
        if not words:
            return "nothing"
        return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
    return str(value)
