"""Which family's grammar a text is to be read by when no dialect says."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cfgaudit.dump.text import Text
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

_SECTION = re.compile(r"^[ \t]*\[[^\]\r\n]*[^\] \t\r\n][^\]\r\n]*\][ \t]*(?:[#~;][^\r\n]*)?$", re.MULTILINE)
# C0 without tab, line ends, form feed, backspace, bell and escape, which captures hold; DEL and C1.
_CONTROL = re.compile("[\x00-\x06\x0b\x0e-\x1a\x1c-\x1f\x7f-\x9f]")
_NOISE = 50  # one character in so many may be line noise


def family_of(sources: Iterable[Text]) -> str:
    """``sectioned`` if one of these texts has a section line, else ``console``."""
    return "sectioned" if any(_SECTION.search(one.text.replace("\r", "\n")) for one in sources) else "console"


def require_text(source: Text) -> Text:
    """The source itself. Raises Refusal if it is a program, a picture or the like."""
    noise = sum(1 for _ in _CONTROL.finditer(source.text))
    if noise * _NOISE > len(source.text):
        raise Refusal("this is no text", "give a dump as its firmware writes it", Place(source.file, 1, 1))
    return source
