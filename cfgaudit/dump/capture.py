"""What a terminal left in a dump, blanked out for reading.

A user copies a dump from a terminal as often as from a file: with the prompt and the typed command,
colour codes, a pager's lines, the same dump twice. All of this is recognised by what it looks like,
never by the names of programs. Nothing moves: what is left out becomes blanks, so that every line
and every word's column still points into the user's file.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from operator import add

from msgspec import Struct, field
from msgspec.structs import replace

from cfgaudit.dump.prompt import MANY, find_prompt, typed
from cfgaudit.dump.read import lines
from cfgaudit.dump.text import Text

_CONTROL = re.compile(r"[\x00\x07\x08\x0e\x0f\x11\x13\x1b\ufeff]")
_PAGED = re.compile(r"(?i)more|press|hit|type")
_NAMED = re.compile(r"(?:[^,=\"\r\n]{0,40}[>#$%:] ?)?[A-Za-z_][A-Za-z0-9_.\-/\[\]]*[ \t]*,")
_SPACES = re.compile(r"[^\S\n]+")
_MARK = "\xef\xbb\xbf"  # a byte-order mark that was read as Latin-1
COPIES = 8  # of one dump in a file, at most
FEWEST = 5  # different lines of a dump that is looked for twice


class _Found(Struct):
    """What was found, said in this order."""

    said: list[str] = field(default_factory=list)  # left out of reading
    aside: list[str] = field(default_factory=list)  # said, but nothing is left out for it
    captured: bool = False  # only a terminal does this


def cleaned(source: Text) -> Text:
    """The text with what a terminal left in it blanked out, and one note that says what this was.

    A text without such things comes back as it is.
    """
    rows = lines(source.text)
    bodies = [row.rstrip("\r\n") for row in rows]
    ends = [row[len(body) :] for row, body in zip(rows, bodies, strict=True)]
    found = _Found()
    if source.mark or source.text.startswith((_MARK, "\ufeff")):
        found.said.append("a byte-order mark")
    if source.encoding == "latin-1" and source.text.startswith(_MARK):
        bodies[0] = "   " + bodies[0][3:]
    if "\r" in source.text:
        _line_ends(bodies, ends, found)
    control = _CONTROL.search(source.text) is not None
    if control or _PAGED.search(source.text):
        _as_shown(bodies, ends, found)
    _without_prompt(bodies, found)
    _once(bodies, found)
    return _told(source, "".join(map(add, bodies, ends)), found) if found.said or found.aside else source


def without_echo(source: Text, command: str) -> Text:
    """The text without lines that are only the command that prints a dump, typed without a prompt."""
    if not command or command not in source.text:
        return source
    rows = lines(source.text)
    echoed = [n for n, row in enumerate(rows) if row.strip(" \t\r\n") == command]
    if not echoed:
        return source
    for n in echoed:
        rows[n] = _blanked(rows[n])
    found = _Found([f"the echo of “{command}”{_on(len(echoed))}"], captured=True)
    return _told(source, "".join(rows), found)


def _told(source: Text, text: str, found: _Found) -> Text:
    if not (found.said or found.aside):
        return source
    left_out = f"{_listed(found.said)}: left out of reading" if found.said else ""
    note = "; ".join(filter(None, (left_out, *found.aside)))
    if found.captured:
        note = f"a terminal capture: {note}"
    original = "" if text == source.text and not source.original else source.original or source.text
    return replace(source, text=text, notes=(*source.notes, note), original=original)


def _blanked(row: str) -> str:
    body = row.rstrip("\r\n")
    return " " * len(body) + row[len(body) :]


# Line ends


def _line_ends(bodies: list[str], ends: list[str], found: _Found) -> None:
    """Blank carriage returns beside a line end; the rest of them end lines.

    Most programs count lines by line feeds: so does this, wherever there are any.
    """
    if not any("\n" in end for end in ends):
        if len(ends) > 1:
            found.aside.append("its lines end in carriage returns alone")
        return
    extra = 0
    for n in range(len(ends) - 2, -1, -1):  # CR CR LF: the row behind is an end alone
        if ends[n] == "\r" and not bodies[n + 1] and ends[n + 1] in ("\r\n", " "):
            ends[n] = " "
            extra += 1
    for n, end in enumerate(ends):  # LF CR
        if end == "\r" and not bodies[n] and (n == 0 or "\n" in ends[n - 1]):
            ends[n] = " "
            extra += 1
    if extra:
        found.said.append(f"{_many(extra, 'extra carriage return')}")
        found.captured = True


# Codes, overwritten characters, pagers


def _as_shown(bodies: list[str], ends: list[str], found: _Found) -> None:
    from cfgaudit.dump.terminal import BLANKS, Shown, pager_end, shown

    fed = any("\n" in end for end in ends)
    joints = "," if _are_commas(bodies) else BLANKS
    codes = overwritten = pagers = 0
    wiping = False  # a pager's line is overwritten with blanks

    @lru_cache(MANY)  # equal rows are looked at once
    def seen(body: str) -> tuple[Shown, int]:
        row = shown(body, joints) if _CONTROL.search(body) else Shown(body)
        end = pager_end(row.text)
        return (replace(row, text=" " * end + row.text[end:]) if end else row), end

    for n, body in enumerate(bodies):
        row, end = seen(body)
        if row.text is not body:
            bodies[n] = row.text
            codes += row.codes
            overwritten += row.overwritten and not row.pager
            pagers += row.pager + (end > 0)
        if end or wiping:
            wiping = ends[n] == "\r" and not row.text.strip(" \t")
            if wiping and fed:
                ends[n] = " "
    if codes:
        found.said.append(f"colour and cursor codes{_on(codes)}")
    if overwritten:
        found.said.append(f"what was typed over{_on(overwritten)}")
    if pagers:
        found.said.append(_many(pagers, "pager line"))
    found.captured |= bool(codes or overwritten or pagers)


def _are_commas(bodies: Sequence[str]) -> bool:
    """Whether most lines are a name, a comma and values: blanks then belong to the values."""
    from cfgaudit.dump.terminal import bare

    told = [text for body in bodies if (text := bare(body).strip()) and text[0] not in "#~;"]
    commas = sum(_NAMED.match(text) is not None for text in told)
    return 2 * commas > len(told)


# Prompts and what was typed


def _without_prompt(bodies: list[str], found: _Found) -> None:
    rows = [n for n, body in enumerate(bodies) if body and not body.isspace()]
    prompt = find_prompt(bodies, rows)
    if prompt is None:
        return
    what = typed(bodies, rows, prompt)
    after = set(what.after)
    echoes = [" ".join(bodies[n][prompt.ends[n] :].split()) for n in what.commands if n not in after]
    for n, end in prompt.ends.items():
        bodies[n] = " " * end + bodies[n][end:]
    for n in {*what.commands, *after}:
        bodies[n] = " " * len(bodies[n])
    found.captured = True
    found.said.append(f"prompt “{prompt.text}”{_on(len(prompt.ends))}")
    if echoes:
        named = [f"“{_short(echo)}”" for echo in dict.fromkeys(echoes)]
        more = [f"{len(named) - 3} more"] if len(named) > 3 else []
        found.said.append(f"the echo of {_listed([*named[:3], *more])}")
    if after:
        found.said.append(f"{_many(len(after), 'line')} typed or printed after the dump's end")


# The same dump twice


def _once(bodies: list[str], found: _Found) -> None:
    """Keep the last copy of a dump that stands in the text several times.

    A copy begins with the same line. Copies that are not much alike are left as they are: the last of
    several lines for one setting wins anyway.
    """
    texts = _SPACES.sub("", "\n".join(bodies)).split("\n")  # codes have left blanks where they stood
    starts = _starts(bodies, texts)
    if not 2 <= len(starts) <= COPIES:
        return
    edges = [*starts, len(texts)]
    copies = [Counter(filter(None, texts[a:b])) for a, b in pairwise(edges)]
    last = copies[-1]
    if len(last) < FEWEST or 5 * last.total() < 4 * max(copy.total() for copy in copies):
        return
    if any(len(copy) < FEWEST or 5 * (copy & last).total() < 4 * copy.total() for copy in copies):
        return
    for n in range(starts[0], starts[-1]):
        bodies[n] = " " * len(bodies[n])
    before = copies[-2]
    differing = max((before - last).total(), (last - before).total())
    times = "twice" if len(copies) == 2 else f"{len(copies)} times"
    verdict = f"they differ in {_many(differing, 'line')}" if differing else "they are the same"
    ordinal = "second" if len(copies) == 2 else "last"
    found.aside.append(f"the dump stands in it {times} and the {ordinal} is read: {verdict}")
    found.captured = True


def _starts(bodies: Sequence[str], texts: Sequence[str]) -> list[int]:
    """Where the line stands again that a dump begins with: its first remark of some length, or its first."""
    first = next((text for text in texts if text), "")
    remarks = ((n, body) for n, body in enumerate(bodies[:400]) if texts[n].startswith(("#", "~", ";")))
    head = next((texts[n] for n, body in remarks if len(body.split()) > 2), first)
    return [n for n, text in enumerate(texts) if text == head] if head else []


# Words


def _many(count: int, noun: str) -> str:
    return f"one {noun}" if count == 1 else f"{count} {noun}s"


def _on(count: int) -> str:
    return f" on {_many(count, 'line')}"


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:39]}…"


def _listed(parts: Iterable[str]) -> str:
    return ", ".join(parts)
