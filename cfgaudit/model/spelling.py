"""One spelling for each kind of value that people write in several ways.

Each function takes what was written and gives the one form that rules see. What it does not
recognise it gives back as it is, and its own result it gives back unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from cfgaudit.model.value import Json

Spelling = Callable[[Json], Json]

_SWITCH = {"yes": True, "on": True, "true": True, "no": False, "off": False, "false": False}
_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
_BOUND = re.compile(r"(>=|<=|==|=|>|<) ?([0-9]+(?:\.[0-9]+)*)")


def flag(value: Json) -> Json:
    """``yes`` → ``True``: YAML 1.2 knows only ``true`` and ``false`` as switches."""
    return _SWITCH.get(value.lower(), value) if isinstance(value, str) else value


def word(value: Json) -> Json:
    """Lower case, single blanks: ``DisplayPort`` → ``displayport``."""
    return " ".join(value.lower().split()) if isinstance(value, str) else value


def spelt(spellings: Mapping[str, str]) -> Spelling:
    """Words with a spelling of their own; those that are not listed in lower case."""

    def spelling(value: Json) -> Json:
        plain = word(value)
        return spellings.get(plain, plain) if isinstance(plain, str) else value

    return spelling


def listed(each: Spelling) -> Spelling:
    """A list, also of a single value."""

    def spelling(value: Json) -> Json:
        return [each(one) for one in (value if isinstance(value, list) else [value])]

    return spelling


def capitals(value: Json) -> Json:
    """``aetr`` → ``AETR``."""
    return value.upper() if isinstance(value, str) else value


def protocol(value: Json) -> Json:
    """A motor protocol as one word: ``DShot 600`` → ``dshot600``."""
    return re.sub("[ _-]+", "", value.lower()) if isinstance(value, str) else value


def layout(value: Json) -> Json:
    """The parts of a layout's name with hyphens between them: ``Quad X`` → ``quad-x``."""
    return re.sub("[ _-]+", "-", value.strip().lower()) if isinstance(value, str) else value


def pin(value: Json) -> Json:
    """``b6``, ``PB06`` and ``PB_6`` → ``PB6``; nothing for what is not brought out."""
    if not isinstance(value, str):
        return value
    if value.lower() == "none":
        return None
    found = re.fullmatch(r"P?([A-K])_?([0-9]{1,2})", value.upper())
    return f"P{found[1]}{int(found[2])}" if found else value


def port(value: Json) -> Json:
    """A serial port's name in the model: ``usart4`` → ``UART4``."""
    return value.upper().replace("USART", "UART") if isinstance(value, str) else value


def span(value: Json) -> Json:
    """``7-26V`` → ``[7, 26]``; a single value is both ends."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return [value, value]
    if not isinstance(value, str):
        return value
    found = re.fullmatch(rf"{_NUMBER} ?[VvSs]?(?: ?(?:-|–|to|\.\.) ?{_NUMBER} ?[VvSs]?)?", value)
    return [_number(found[1]), _number(found[2] or found[1])] if found else value


def cells(value: Json) -> Json:
    """``6S`` → ``6``."""
    found = re.fullmatch("([0-9]{1,2}) ?[Ss]", value) if isinstance(value, str) else None
    return int(found[1]) if found else whole(value)


def channel(value: Json) -> Json:
    """``aux1`` → ``5``: the first four channels steer, the others are numbered on from there."""
    found = re.fullmatch("aux ?([0-9]{1,2})", value.lower()) if isinstance(value, str) else None
    return int(found[1]) + 4 if found else whole(value)


def canvas(value: Json) -> Json:
    """``53 × 20`` → ``53x20``."""
    found = re.fullmatch("([0-9]{1,3}) ?[xX×] ?([0-9]{1,3})", value) if isinstance(value, str) else None
    return f"{int(found[1])}x{int(found[2])}" if found else value


def on_frame(value: Json) -> Json:
    """A place on the frame: ``Back-Right`` → ``rear right``."""
    if not isinstance(value, str):
        return value
    plain = {"back": "rear", "middle": "mid", "upper": "top", "lower": "bottom"}
    words = re.split("[ _-]+", value.strip().lower())
    return " ".join(plain.get(one, one) for one in words)


def propeller(value: Json) -> Json:
    """``5x4.3x3`` → its inches, pitch and blades."""
    by = " ?[xX×] ?"
    found = (
        re.fullmatch(rf"{_NUMBER}{by}{_NUMBER}(?:{by}([0-9]))?", value) if isinstance(value, str) else None
    )
    if not found:
        return value
    blades: dict[str, Json] = {"blades": int(found[3])} if found[3] else {}
    return {"inches": _number(found[1]), "pitch_inches": _number(found[2]), **blades}


def firmware(value: Json) -> Json:
    """``plover >= 4.1`` → ``{name: plover, versions: ">= 4.1"}``."""
    if isinstance(value, str):
        name = re.split(r"[\s<>=]", value.strip(), maxsplit=1)[0]
        return {"name": name, "versions": versions(value.strip()[len(name) :])}
    if isinstance(value, dict):
        told = {key: inner for key, inner in value.items() if inner is not None}
        return {**told, "versions": versions(told.get("versions", ""))}
    return value


def versions(value: Json) -> Json:
    """Bounds with one blank between their parts: ``>=4.1, <5`` → ``>= 4.1 < 5``."""
    if not isinstance(value, str):
        return value
    bounds = _BOUND.findall(value)
    return " ".join(f"{'==' if sign == '=' else sign} {version}" for sign, version in bounds) or value.strip()


def whole(value: Json) -> Json:
    """``14.0`` → ``14``."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _number(text: str) -> int | float:
    return float(text) if "." in text else int(text)
