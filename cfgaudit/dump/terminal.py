"""What a terminal would show of a line: control codes and overwritten characters taken out.

Words keep the column they start in: what is taken out leaves blanks in its place, or behind the
word it stood in.
"""

from __future__ import annotations

import re

from msgspec import Struct

# Each part is possessive and stops at the next escape or line end, so that the time goes by the length.
_CODE = re.compile(
    r"(?:\x1b(?:"
    r"\[[0-?]*+[ -/]*+[@-~]?"  # control sequences: colours, the cursor (perhaps cut off)
    r"|\][^\x07\x1b\r\n]*+(?:\x07|\x1b\\)"  # operating system commands: window titles
    r"|[PX^_][^\x1b\r\n]*+\x1b\\"
    r"|[ -/]++[0-~]"  # character sets
    r"|[0-Z\\-~]"
    r")?"
    r"|[\x00\x07\x0e\x0f\x11\x13\ufeff])++"  # several in a row are left out as one
)
BLANKS = " \t"
_BLANK = re.compile(r"[ \t]")
_PAGER = re.compile(
    r"[ \t]*+<?[-=*]{2,8}[ \t<(\[]{0,8}more\b(?:[^-=*\r\n]{0,40}[-=*]{2,8}[>)]?|[ \t\d%():.\]]{0,40}$)"
    r"|[ \t]*+[-(\[* ]{0,8}(?:press|hit|type)\b(?=[^\r\n]{0,60}\b(?:key|space|enter|return|q)\b)"
    r"[^\r\n]{0,60}\b(?:more|continue|next|quit)\b[^\r\n]{0,30}$",
    re.IGNORECASE,
)
_MORE = re.compile("more|press|hit|type", re.IGNORECASE)
_WIDEST = 400  # characters of a pager's line, with the codes in it
_ADVICE = re.compile(r"[ \t]*+(?:[,(:]|next page|space|press|hit)", re.IGNORECASE)


class Shown(Struct, frozen=True):
    """A line as a terminal shows it, as long as it is in the file."""

    text: str
    codes: bool = False  # it held control codes
    overwritten: bool = False  # it held backspaces
    pager: bool = False  # a pager's line was overwritten


def pager_end(body: str) -> int:
    """Where a pager's “more” at the start of a line ends, or 0."""
    if _MORE.search(body) is None:
        return 0
    head = " ".join(body[:_WIDEST].split())  # codes between its words have left blanks
    found = _PAGER.match(head)
    if found is None:
        return 0
    end = len(head) if _ADVICE.match(head, found.end()) else found.end()
    if end == len(head) and len(body) <= _WIDEST:
        return len(body)
    left = end - head.count(" ", 0, end)
    at = 0
    while left:
        left -= not body[at].isspace()
        at += 1
    return at


def bare(body: str) -> str:
    """A line without its control codes, wherever its words then stand."""
    return _CODE.sub("", body.rpartition("\b")[2][:_WIDEST])


def shown(body: str, joints: str = BLANKS) -> Shown:
    """A line, without its line end, as a terminal shows it.

    ``joints`` are what stands between words: ``BLANKS``, or a comma where words may hold blanks.
    """
    if joints == "," and bare(body).lstrip(BLANKS)[:1] in ("#", "~", ";"):
        joints = BLANKS  # of a remark
    if "\b" in body:
        return _overwritten(body, joints)
    text = _without_codes(body, joints)
    return Shown(text, text != body)


def _without_codes(body: str, joints: str) -> str:
    out: list[str] = []
    owed = 0  # blanks that stand behind the word, for the codes within it
    quoted = False
    before = " "  # the last character shown
    at = 0
    for code in _CODE.finditer(body):
        piece = body[at : code.start()]
        owed, quoted = _lay(piece, owed, quoted, joints, out)
        at, length = code.end(), code.end() - code.start()
        before = _last(piece, joints) or before
        if quoted or _within_word(before, _next(body, at, joints), joints):
            owed += length
        else:
            out.append(" " * (owed + length))
            owed = 0
            before = before if joints == "," else " "
    owed, _ = _lay(body[at:], owed, quoted, joints, out)
    out.append(" " * owed)
    return "".join(out)


def _last(piece: str, joints: str) -> str:
    """The last character before a code; where commas stand between words, the last that is no blank."""
    return (piece.rstrip(BLANKS) if joints == "," else piece)[-1:]


def _next(body: str, at: int, joints: str) -> str:
    while joints == "," and body[at : at + 1] in (" ", "\t"):
        at += 1
    return body[at : at + 1]


def _within_word(before: str, after: str, joints: str) -> bool:
    """Whether a code stands in a word, where a blank would cut it in two (none stands at an operator)."""
    if joints == ",":
        return bool(before.strip(", ") and after.strip(","))
    if before + after in (":=", "=>", "=="):
        return True
    return bool(before.strip() and after.strip()) and "=" not in (before, after)


def _lay(piece: str, owed: int, quoted: bool, joints: str, out: list[str]) -> tuple[int, bool]:
    """Put a piece down; the blanks owed follow the word that it begins with."""
    if owed:
        if quoted:
            end = piece.find('"') + 1 or -1
        elif joints == ",":
            end = len(piece[: piece.find(",")].rstrip(BLANKS)) if "," in piece else -1
        else:
            found = _BLANK.search(piece)
            end = found.start() if found else -1
        if end >= 0:
            out += (piece[:end], " " * owed)
            quoted ^= piece.count('"', 0, end) % 2 == 1
            piece, owed = piece[end:], 0
    out.append(piece)
    return owed, quoted ^ (piece.count('"') % 2 == 1)


def _overwritten(body: str, joints: str) -> Shown:
    """The characters that are left when later ones were typed over earlier ones."""
    kept: list[int] = []
    at = 0
    for code in _CODE.finditer(body):
        kept += range(at, code.start())
        at = code.end()
    codes = at > 0
    kept += range(at, len(body))
    plain = "".join(body[n] for n in kept[:200])
    pager = pager_end(plain.partition("\b")[0])
    cells: list[int] = []
    cursor = 0
    for n in kept[pager:]:
        if body[n] == "\b":
            cursor = max(0, cursor - 1)
            continue
        cells[cursor : cursor + 1] = [n]
        cursor += 1
    while cells and body[cells[-1]] in " \t":
        del cells[-1]
    return Shown(_in_place(body, cells, joints), codes, True, pager > 0)


def _in_place(body: str, cells: list[int], joints: str) -> str:
    """Each word from where its first character stands in the line; else all of it from the start."""
    out = [" "] * len(body)
    quoted, before, at = False, joints[0], -1
    for n in cells:
        character = body[n]
        new = not quoted and before in joints and character not in BLANKS
        at = max(n, at + 1) if new else at + 1
        if at >= len(out):
            return "".join(body[n] for n in cells).ljust(len(body))
        out[at] = character
        quoted ^= character == '"'
        if joints == BLANKS or character not in BLANKS:
            before = character
    return "".join(out)
