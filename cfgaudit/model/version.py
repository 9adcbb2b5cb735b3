"""Version numbers and ranges of them, as a header, a dialect or a build sheet writes them."""

from __future__ import annotations

import re
from operator import eq, ge, gt, le, lt

from msgspec import Struct

_COMPARE = {">=": ge, "<=": le, ">": gt, "<": lt, "==": eq}
_TERM = re.compile(r"\s*(>=|<=|==|>|<)?\s*v?(\d+(?:\.\d+)*)\s*,?")


def numbers(text: str) -> tuple[int, ...]:
    """``"4.1.2"`` → ``(4, 1, 2)``; what follows the numbers (``-rc1``) is left out; none → ``()``."""
    found = re.match(r"\s*v?(\d{1,9}(?:\.\d{1,9})*)", text)
    return tuple(int(part) for part in found[1].split(".")) if found else ()


def ordered(text: str) -> tuple[int, ...]:
    """The numbers of a version, to be compared: 4.2 and 4.2.0 are one."""
    have = numbers(text)
    while have and have[-1] == 0:
        have = have[:-1]
    return have


class Versions(Struct, frozen=True):
    """A range such as ``>=4.0 <5.0``; a bare ``4.1`` means that version and its later patches."""

    text: str
    terms: tuple[tuple[str, tuple[int, ...]], ...]

    def __contains__(self, version: object) -> bool:
        """Whether a version text lies in the range; missing parts count as 0."""
        have = numbers(str(version))
        return bool(have) and all(_holds(operator, have, bound) for operator, bound in self.terms)


def versions(text: str) -> Versions | None:
    """The range a text says, or None if it is not one. The empty text allows every version."""
    terms = []
    rest = text
    while rest.strip():
        found = _TERM.match(rest)
        if not found:
            return None
        terms.append((found[1] or "", numbers(found[2])))
        rest = rest[found.end() :]
    return Versions(text, tuple(terms))


def _holds(operator: str, have: tuple[int, ...], bound: tuple[int, ...]) -> bool:
    if not operator:
        return have[: len(bound)] == bound
    width = max(len(have), len(bound))
    return bool(_COMPARE[operator](_padded(have, width), _padded(bound, width)))


def _padded(version: tuple[int, ...], width: int) -> tuple[int, ...]:
    return version + (0,) * (width - len(version))
