"""Bytes of a dump file → text that turns back into the same bytes."""

from __future__ import annotations

from msgspec import Struct

from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal

LARGEST = 64 * 1024 * 1024  # bytes; a dump is some ten thousand lines at most
MARK = b"\xef\xbb\xbf"


class Text(Struct, frozen=True):
    """The text of a dump and how it was stored.

    ``notes`` are the things said aloud: sentences about what reading had to assume. ``original`` is the
    text as it was stored, if what a terminal left in it was blanked out for reading, else "".
    """

    file: str
    text: str
    encoding: str  # "utf-8" or "latin-1"
    mark: bool  # a byte-order mark stood before the text
    notes: tuple[str, ...] = ()
    original: str = ""

    def encoded(self) -> bytes:
        """The bytes that were read."""
        return (MARK if self.mark else b"") + (self.original or self.text).encode(self.encoding)


def decode(data: bytes, file: str) -> Text:
    """Decode UTF-8, with or without a mark; else Latin-1, said in a note. Raises Refusal."""
    start = Place(file, 1, 1)
    if len(data) > LARGEST:
        raise Refusal("the dump is larger than 64 MB", "give the text of one aircraft's settings", start)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise Refusal("the dump is UTF-16 text", "save it again as UTF-8", start)
    mark = data.startswith(MARK)
    body = data[len(MARK) :] if mark else data
    try:
        return Text(file, body.decode("utf-8"), "utf-8", mark)
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        note = f"not UTF-8 (first at line {line}): read as Latin-1, so accents may be wrong"
        return Text(file, data.decode("latin-1"), "latin-1", False, (note,))
