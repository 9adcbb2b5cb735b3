"""What texts look like: rates, pins, pulses, yes or no. Looks alone never settle a meaning."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from cfgaudit.dialect.codec.pin import is_pin

BAUDS = frozenset(
    {1200, 2400, 4800, 9600, 14400, 19200, 28800, 38400, 57600, 76800, 100000, 111100, 115200, 128000}
    | {153600, 200000, 230400, 250000, 256000, 400000, 416666, 420000, 460800, 500000, 921600}
    | {1000000, 1500000, 1870000, 2000000, 3000000, 5250000}
)
NOTHING = frozenset(
    {"none", "-", "off", "unset", "unwired", "idle", "nothing", "unused", "no", "nil", "free"}
)
PAIRS = (
    ("on", "off"), ("yes", "no"), ("true", "false"), ("1", "0"), ("y", "n"), ("enabled", "disabled"),
    ("enable", "disable"), ("active", "idle"),
)  # fmt: skip

_WHOLE = re.compile(r"[+-]?[0-9]{1,18}")
_HEX = re.compile(r"0[xX][0-9A-Fa-f]{1,15}")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,15}\.[0-9]{1,9}")
_NUMBERED = re.compile(r"([A-Za-z][A-Za-z_-]*)([0-9]{1,3})")
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_+./-]*")


def whole(text: str) -> int | None:
    """A whole number in decimal, or None."""
    return int(text) if _WHOLE.fullmatch(text) else None


def mask(text: str) -> int | None:
    """A whole number in decimal or 0x-hexadecimal that can be a mask, or None."""
    if _HEX.fullmatch(text):
        return int(text, 16)
    number = whole(text)
    return number if number is not None and number >= 0 else None


def is_hex(text: str) -> bool:
    """Whether a text is written in 0x-hexadecimal."""
    return _HEX.fullmatch(text) is not None


def numbered(text: str) -> tuple[str, int] | None:
    """``uart4`` → ("uart", 4)."""
    found = _NUMBERED.fullmatch(text)
    return (found[1], int(found[2])) if found else None


def kind(text: str) -> str:
    """What a single text is: whole, hex, decimal, quoted, numbered, word, nothing or text."""
    if text.lower() in NOTHING:
        return "nothing"
    for name, pattern in (("whole", _WHOLE), ("hex", _HEX), ("decimal", _DECIMAL), ("numbered", _NUMBERED)):
        if pattern.fullmatch(text):
            return name
    if text.startswith('"'):
        return "quoted"
    return "word" if _WORD.fullmatch(text) else "text"


def _every(texts: Iterable[str], test: Callable[[str], bool]) -> bool:
    return all(test(text) for text in texts)


def rates(texts: Sequence[str]) -> bool:
    """Whether all are bit rates in use, two different ones or a large one among them."""
    numbers = [whole(text) for text in texts]
    return any(number and number >= 4800 for number in numbers) and all(
        number in BAUDS or number == 0 for number in numbers
    )


def pulses(texts: Sequence[str]) -> bool:
    """Whether all are servo pulses in microseconds."""
    numbers = [whole(text) for text in texts]
    return bool(numbers) and all(number is not None and 800 <= number <= 2200 for number in numbers)


def pins(texts: Sequence[str]) -> bool:
    """Whether all are pins of the chip, or a word for none, and at least one is a pin."""
    found = [text for text in texts if is_pin(text) and not (text[0].islower() and len(text) < 3)]
    return bool(found) and _every(texts, lambda text: text in found or text.lower() in NOTHING)


def flag(texts: Sequence[str]) -> tuple[str, str] | None:
    """The words for yes and no, if the texts are such."""
    seen = set(texts)
    for yes, no in PAIRS:
        if seen and {text.lower() for text in seen} <= {yes, no}:
            cased = {text.lower(): text for text in seen}
            shape = next(iter(seen))
            other: Callable[[str], str] = str.upper if shape.isupper() else str
            return cased.get(yes, other(yes)), cased.get(no, other(no))
    return None


def described(texts: Sequence[str]) -> str:
    """What a column of texts looks like, for people."""
    distinct = list(dict.fromkeys(texts))
    if rates(texts):
        return "bit rates"
    if pins(texts):
        return "pins"
    if pulses(texts):
        return "pulses in microseconds"
    if pair := flag(texts):
        return f"yes or no ({pair[0]}, {pair[1]})"
    kinds = {kind(text) for text in distinct} - {"nothing"}
    if kinds <= {"whole"} and kinds:
        numbers = [int(text) for text in distinct if kind(text) == "whole"]
        several = f"whole numbers from {min(numbers)} to {max(numbers)}"
        return several if len(numbers) > 1 else "a whole number"
    if kinds == {"hex"}:
        return "hexadecimal numbers"
    if kinds <= {"decimal", "whole"} and kinds:
        return "numbers with decimals"
    if kinds <= {"word", "numbered"} and len(distinct) <= 12 and max(map(len, distinct), default=0) <= 24:
        return f"words: {', '.join(distinct)}" if len(distinct) > 1 else f"a word: {distinct[0]}"
    return "text"


def names_secret(words: Iterable[str]) -> bool:
    """Whether a setting's name says that its value is nobody's business."""
    return bool({"pilot", "phone", "secret", "password", "phrase", "bind", "pairing"} & set(words))
