"""A figure that cannot be had: the typed answer in place of a guess."""

from __future__ import annotations

from msgspec import Struct


class Missing(Struct, frozen=True):
    """Stands in a tree of figures where the inputs do not allow one.

    ``needs`` are the dotted paths that nobody told, from ``model.``, ``build.`` or ``reading.`` on.
    ``reason`` says what is wrong with an input that is there but of no use (a chip that no table
    knows); "" where the input is simply absent.
    """

    needs: tuple[str, ...]
    reason: str = ""


# What a tree of figures is made of: JSON, and Missing where a figure would be.
Figure = Missing | None | bool | int | float | str | list["Figure"] | dict[str, "Figure"]
Section = dict[str, Figure]
