"""A figure with the sum that gives it: what ``cfgaudit numbers`` shows."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from msgspec import Struct

from cfgaudit.derive.missing import Missing

Value = bool | int | float | str


class Quantity(Struct, frozen=True):
    """One figure: of what, its value and unit, the sum as a person would write it, and its source.

    ``value`` is Missing where an input is not told. ``rules`` are those that judge the figure.
    """

    about: str  # "UART4", "motor 3"; "" for the craft as a whole
    what: str  # "frame time"
    value: Value | Missing
    unit: str  # "µs"; "" for a word or a plain number
    sum: str  # "26 bytes × 10 bits / 420,000 baud = 619 µs"; "" where there is nothing to add up
    source: str
    rules: tuple[str, ...]


class Table(Struct, frozen=True):
    """The figures of one subject, in the order in which they are read."""

    subject: str  # as rules call it: derived.SUBJECT
    title: str
    rows: tuple[Quantity, ...]


def figure(value: float, digits: int = 4) -> str:
    """A number for people: ``digits`` that count, thousands set apart: 619, 41,666.7, 0.0123.

    Whole numbers are never rounded.
    """
    exact = Decimal(str(value))
    if not exact.is_finite():
        return str(value)
    if exact == exact.to_integral_value():
        return f"{int(exact):,}"
    places = max(0, digits - 1 - exact.adjusted())
    rounded = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    text = f"{rounded:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def said(value: object, digits: int = 6) -> str:
    """An input in a sum; "?" for one that nobody told, whose sum is not shown then."""
    return figure(value, digits) if isinstance(value, int | float) and not isinstance(value, bool) else "?"
