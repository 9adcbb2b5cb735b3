"""The family of a dump, and the header by which its firmware can be known again."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from cfgaudit.dialect.recognise import FIRST_LINES, LONGEST_HEADER
from cfgaudit.dump.family import family_of
from cfgaudit.dump.read import Dump, lines, read_statements
from cfgaudit.dump.statement import Kind, Statement
from cfgaudit.dump.text import Text
from cfgaudit.model.value import Json

FAMILIES = ("console", "sectioned")  # those that are told apart by which knows most lines
FULL = ("all", "full", "everything", "whole", "complete", "entire", "every")
CHANGED = ("changed", "changes", "diff", "differences", "some", "delta", "modified", "partial")

_REMARK = re.compile(r"[ \t]*([#~;])[#~;]*[ \t]*(.*?)[ \t]*")
_SIGNS = ",;()[]<>|\"'"
_VERSION = re.compile(r"(v?)([0-9]{1,4}(?:\.[0-9]{1,5}){1,3}(?:[-+][A-Za-z0-9.]{1,20})?)")
_DATE = re.compile(r"(?:19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}(?:T[0-9:.Z+-]*)?")
_CHIP = re.compile(r"(?:STM32|AT32|GD32|RP2|ESP32|SAM|NRF|MIMXRT|LPC)[A-Za-z0-9-]{2,20}", re.IGNORECASE)
_BOARD = re.compile(r"[A-Z][A-Za-z]+-?[A-Z]?[0-9]{2,4}[A-Za-z]{0,3}")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{1,30}")


class Head(Struct, frozen=True):
    """What the first remarks say of the firmware, as templates of a dialect's header."""

    name: str
    remark: str  # the sign of a remark
    header: tuple[tuple[str, str], ...]  # (template, the line it was made from)
    extent: Mapping[str, str]  # "full" or "changed": the word
    doubts: tuple[str, ...]


def family(source: Text) -> tuple[Dump, str]:
    """The dump, read by the family that its lines look like or that knows most of them, and why that one."""
    if family_of((source,)) == "columns":
        dump = read_statements(source, "columns")
        return dump, _columns_why(dump)
    dumps = [read_statements(source, one) for one in FAMILIES]
    best = max(dumps, key=_known)
    kinds = [one.kind for one in best.statements]
    told = [kind for kind in kinds if kind not in (Kind.BLANK, Kind.REMARK)]
    sections = told.count(Kind.SECTION)
    why = (
        f"{sections} lines in square brackets, {told.count(Kind.ASSIGNMENT)} assignments below them"
        if sections
        else f"{told.count(Kind.ROW)} rows and {told.count(Kind.ASSIGNMENT)} assignments"
    )
    return best, f"{why}; {told.count(Kind.STRAY)} of {len(told)} lines do not fit"


def _columns_why(dump: Dump) -> str:
    told = [one for one in dump.statements if one.kind in (Kind.ROW, Kind.STRAY)]
    commas = sum(_by_comma(one) for one in told)
    what = "a comma" if separator_of(dump) == "," else "blanks or tabs"
    count = commas if separator_of(dump) == "," else len(told) - commas
    astray = sum(one.kind is Kind.STRAY for one in told)
    return f"{count} of {len(told)} lines are a name, {what} and values; {astray} do not fit"


def separator_of(dump: Dump) -> str:
    """What stands between the columns of most lines: a comma or a blank."""
    rows = [one for one in dump.statements if one.kind is Kind.ROW]
    return "," if 2 * sum(map(_by_comma, rows)) > len(rows) else " "


def _by_comma(one: Statement) -> bool:
    return len(one.spans) > 2 and "," in one.text[one.spans[1] : one.spans[2]]


def _known(dump: Dump) -> tuple[int, bool]:
    kinds = [one.kind for one in dump.statements]
    plain = dump.family == "console"
    return sum(kind not in (Kind.STRAY, Kind.BLANK) for kind in kinds), plain and Kind.SECTION not in kinds


def head(source: Text, build: Mapping[str, Json]) -> Head:
    """The header of a dump: its first remarks with a version, a chip, a date or a board in them."""
    found: list[tuple[str, str]] = []
    extent: dict[str, str] = {}
    taken: set[str] = set()
    sign = name = ""
    for text, one_sign in _remarks(source):
        sign = sign or one_sign
        template, said, cells = _template(text, build, taken)
        alone = bool({"firmware.version", "firmware.built", "firmware.mcu"} & cells)
        if not alone or not re.search(r"[A-Za-z]{2}", re.sub(r"\{[^}]*\}", "", template)) or len(found) > 3:
            continue
        found.append((template, text))
        taken |= cells
        extent |= said
        if "firmware.version" in cells and not name:
            name = _firmware(text, build)
    doubts = []
    if not found:
        doubts.append("no remark near the top holds a version: name this dialect with --dialect")
    elif "firmware.version" not in taken:
        doubts.append("no version was found: which firmware version wrote a dump stays unknown")
    if found and not extent:
        doubts.append("no word says whether a dump is full: write one as {extent} if there is one")
    return Head(name or _firmware("", build), sign or "#", tuple(found), extent, tuple(doubts))


def _remarks(source: Text) -> Iterator[tuple[str, str]]:
    for row in lines(source.text, FIRST_LINES):
        body = row.rstrip("\r\n")
        remark = _REMARK.fullmatch(body) if len(body) <= LONGEST_HEADER - 60 else None
        if remark and remark[2] and not set(remark[2]) & set("{}") and remark[2].isprintable():
            yield remark[2], remark[1]


def _firmware(text: str, build: Mapping[str, Json]) -> str:
    """The firmware's name: the sheet's, or the header's first word."""
    board = build.get("board")
    firmware = board.get("firmware") if isinstance(board, dict) else None
    told = str(firmware.get("name") or "") if isinstance(firmware, dict) else ""
    words = [word.strip(_SIGNS) for word in text.split()]
    names = [word for word in [told, *words] if _NAME.fullmatch(word) and not _CHIP.fullmatch(word)]
    return names[0].lower() if names else "my-firmware"


def _template(text: str, build: Mapping[str, Json], taken: set[str]) -> tuple[str, dict[str, str], set[str]]:
    """A remark with cells in it, the word that tells the extent, and which cells."""
    board = build.get("board")
    board_name = str(board.get("name") or "") if isinstance(board, dict) else ""
    cells: set[str] = set()
    extent: dict[str, str] = {}
    words = []
    for word in text.split(" "):
        bare = word.strip(_SIGNS)
        cell, keep = _cell(bare, board_name)
        if cell == "extent":
            extent = {"full" if bare.lower() in FULL else "changed": bare}
        if cell and cell not in taken | cells and (bare or "") != "":
            cells.add(cell)
            start = word.index(bare)
            word = f"{word[:start]}{keep}{{{cell}}}{word[start + len(bare) :]}"
        words.append(word)
    return " ".join(words), extent, cells


def _cell(word: str, board: str) -> tuple[str, str]:
    """The cell a word of the header is, or "", and what of the word stays before it."""
    if found := _VERSION.fullmatch(word):
        return "firmware.version", found[1]
    if _DATE.fullmatch(word):
        return "firmware.built", ""
    if _CHIP.fullmatch(word):
        return "firmware.mcu", ""
    if (board and word.lower() == board.lower()) or _BOARD.fullmatch(word):
        return "firmware.board", ""
    return ("extent", "") if word.lower() in FULL + CHANGED else ("", "")
