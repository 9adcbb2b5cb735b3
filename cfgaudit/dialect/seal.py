"""Seals: what stands in a file in place of a private value, so that two of them can still be held together.

A seal is a word, which every family of dumps can carry. It is made with a key that stays with its owner:
the same value gives the same seal with the same key, and nobody without the key can try values out.
"""

from __future__ import annotations

import hashlib
import hmac
import re

from msgspec import Struct

KEY_BYTES = 32
SHOWN_DIGITS = 8  # of a seal, where two are to be told apart by eye

# What a baseline says of itself, in remarks: it names what is sealed, and holds none of it.
FACT = re.compile(r"[ \t]*[#~;]+[ \t]*baseline (of|from|audited|note|seals):[ \t]*(.*?)[ \t]*")

_SEAL = re.compile(r'"?sealed-([0-9a-f]{8})-([0-9a-f]{24})"?')


def is_seal(text: str) -> bool:
    """Whether a cell holds a seal instead of a value."""
    return _SEAL.fullmatch(text) is not None


def key_of(seal: str) -> str:
    """Which key a seal was made with, as the first digits of the key's own digest; "" of what is no seal."""
    found = _SEAL.fullmatch(seal)
    return found[1] if found else ""


class Sealer(Struct, frozen=True):
    """What makes seals with one key of ``KEY_BYTES`` random bytes."""

    key: bytes

    @property
    def name(self) -> str:
        """What tells this key from others and gives nothing of it away."""
        return hashlib.sha256(b"cfgaudit key\0" + self.key).hexdigest()[:8]

    def seal(self, setting: str, value: str) -> str:
        """The seal of a value in a setting; the same value in another setting has another one."""
        content = f"{setting}\0{value}".encode("utf-8", "surrogatepass")
        return f"sealed-{self.name}-{hmac.new(self.key, content, hashlib.sha256).hexdigest()[:24]}"
