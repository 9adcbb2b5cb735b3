"""The prompt of a console, inferred from a capture, and what was typed behind it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain, islice

from msgspec import Struct

from cfgaudit.dump.family import is_blank_line, is_comma_line, separator_of

LONGEST = 40  # characters of a prompt
MANY = 20_000  # rows that tell what a capture's lines look like; equal ones that are looked at once
_SURE = ">#$%"  # signs that end a prompt and hardly ever the first word of a setting
_SIGN = re.compile(r"[>#$%:]")
_DIGITS = re.compile(r"[0-9]+")
_ARROW = re.compile(r"[-=]+>")
_TOKEN = re.compile(r"[^ \t=,<\"]*[A-Za-z0-9][^ \t=,<\"]*[>#$%]|[-=]*>|\$|%")  # a prompt of one word
_ASSIGNED = re.compile(r"[^ \t\"=:]+(?:[ \t]*(:=|=)|(:)[ \t])")


class Prompt(Struct, frozen=True):
    """A prompt: how it looks, and the rows that begin with it, each with the column it ends before."""

    text: str
    ends: Mapping[int, int]


class Typed(Struct, frozen=True):
    """What the rows with a prompt are."""

    commands: tuple[int, ...]  # rows that are the echo of a command
    after: tuple[int, ...]  # rows typed or printed after the dump's end


def find_prompt(bodies: Sequence[str], rows: Sequence[int]) -> Prompt | None:
    """The prompt of a capture, if it has one. ``rows`` are those that are not blank, in order."""
    if not rows:
        return None
    times = Counter(bodies[n] for n in rows)  # short rows are often the same
    heads = {body: told for body in times if (told := tuple(_heads(body)))}
    found = _placed(bodies, rows, heads, times)
    key = _chosen(bodies, rows, found) if found else ""
    if not key:
        return None
    ends = found[key]
    first = min(ends)
    return Prompt(" ".join(bodies[first][: ends[first]].split()), ends)


def _placed(
    bodies: Sequence[str],
    rows: Sequence[int],
    heads: Mapping[str, Sequence[tuple[str, int]]],
    times: Mapping[str, int],
) -> dict[str, dict[int, int]]:
    """Where heads stand that may be the prompt: of the first and the last row, and the most frequent."""
    counts: Counter[str] = Counter()
    for body, told in heads.items():
        for key, _ in told:
            counts[key] += times[body]
    ends = (heads.get(bodies[n], ()) for n in (rows[0], rows[-1]))
    wanted = {key for key, _ in chain(*ends, counts.most_common(3))}
    known = {body: few for body, told in heads.items() if (few := [one for one in told if one[0] in wanted])}
    found: dict[str, dict[int, int]] = {}
    for n in rows:
        for key, end in known.get(bodies[n], ()):
            found.setdefault(key, {})[n] = end
    return found


def _heads(body: str) -> Iterator[tuple[str, int]]:
    """What may be a prompt at the start of a row, as a key (digits count alike), and where it ends."""
    if _SIGN.search(body) is None:
        return  # most rows
    start = len(body) - len(body.lstrip(" \t"))
    if body[start : start + 1] in ("", "#", "~", ";"):
        return  # a remark
    head = body[start : start + 2 * LONGEST]
    for sign in islice(_SIGN.finditer(head), 4):
        text = " ".join(head[: sign.end()].split())
        if len(text) > LONGEST or '"' in text or ("=" in text and not _ARROW.fullmatch(text)):
            return
        if sign[0] == ":":
            if head[sign.end() : sign.end() + 1] in ("", " ", "\t"):
                yield text, start + sign.end()
        else:
            yield _DIGITS.sub("0", text), start + sign.end()


def _chosen(bodies: Sequence[str], rows: Sequence[int], found: Mapping[str, Mapping[int, int]]) -> str:
    first, last = rows[0], rows[-1]
    for key, ends in found.items():
        if last in ends and not _rest(bodies, last, ends):  # alone on the last line
            echoed = [n for n in ends if _rest(bodies, n, ends)]
            if key[-1] in _SURE and (echoed or _TOKEN.fullmatch(key)):
                return key
            if echoed[:1] == [first] and len(key) > 2:
                return key
    for key in sorted(found, key=lambda key: -len(found[key]))[:3]:
        if key[-1] in _SURE and len(found[key]) > 1 and _repeated(bodies, rows, found[key], key):
            return key
    for key, ends in found.items():
        if first in ends and key[-1] in ">#$" and _TOKEN.fullmatch(key):
            end = ends[first]
            if bodies[first][end : end + 1] in (" ", "\t") and _rest(bodies, first, ends):
                return key
    return ""


def _repeated(bodies: Sequence[str], rows: Sequence[int], ends: Mapping[int, int], key: str) -> bool:
    """Whether a head stands before rows that without it are like the others, or before nearly all."""
    rests = [rest for n in ends if (rest := _rest(bodies, n, ends))]
    if 10 * len(ends) >= 9 * len(rows):
        return len(rests) > 2 and _TOKEN.fullmatch(key) is not None
    printed = [bodies[n] for n in rows if n not in ends]
    flat = _is_flat(printed, rests)
    look = _looks(flat)
    others = set(map(look, printed))
    alike = sum(look(rest) in others for rest in rests)
    return alike > 1 and 2 * alike >= len(rests)


def _rest(bodies: Sequence[str], row: int, ends: Mapping[int, int]) -> str:
    return bodies[row][ends[row] :].strip(" \t")


def _is_flat(printed: Sequence[str], rests: Iterable[str]) -> bool:
    """Whether rows are columns between blanks: their first words are names and have nothing in common.

    ``rests`` are what stands behind a prompt, lines of the dump or commands.
    """
    both = chain(printed, rests)
    return any(separator_of(["\n".join(islice(rows, MANY))]) == " " for rows in (printed, both))


def _looks(flat: bool) -> Callable[[str], str]:
    """``_look``, once for equal rows."""
    return lru_cache(MANY)(lambda body: _look(body, flat))


def _look(body: str, flat: bool = False) -> str:
    """What rows of one kind have in common: an operator, a sign, or their first word."""
    text = body.lstrip(" \t")
    if text[:1] in "#~;":
        return "#"
    if text[:1] == "[":
        return "["
    if found := _ASSIGNED.match(text[:200]):
        return found[1] or found[2]
    word = next(iter(text[:200].split(None, 1)), "")
    if "," in word or is_comma_line(text[:200]):
        return ","
    return "_" if flat and is_blank_line(text) else word


def _is_sign(look: str) -> bool:
    return look in ("#", "[", ":=", "=", ":", ",", "_")


def typed(bodies: Sequence[str], rows: Sequence[int], prompt: Prompt) -> Typed:
    """Tell commands from lines of a dump that have a prompt before them, and find the dump's end."""
    ends = prompt.ends
    rests = {n: rest for n in ends if (rest := _rest(bodies, n, ends))}
    printed = [bodies[n] for n in rows if n not in ends]
    flat = _is_flat(printed, rests.values())
    looks = _looks(flat)
    others = Counter(map(looks, printed))
    if len(rests) > others.total():
        return Typed(tuple(_first_command(rests)), ())
    commands = []
    goes_on = False  # the next row without a prompt is like others
    for n in reversed(rows):
        if n not in ends:
            look = looks(bodies[n])
            goes_on = _is_sign(look) or others[look] > 1
        elif n in rests:
            look = looks(rests[n])
            if not (goes_on and (look == "#" or look in others)):
                commands.append(n)
    commands.reverse()
    return Typed(tuple(commands), tuple(_after(bodies, [n for n in rows if n not in ends], commands, rests)))


def _first_command(rests: Mapping[int, str]) -> Iterator[int]:
    """Where every line has a prompt: the first one, if it alone is of its kind."""
    flat = _is_flat((), rests.values())
    looks = Counter(map(_looks(flat), rests.values()))
    first = min(rests)
    look = _look(rests[first], flat)
    single = sum(count == 1 for look, count in looks.items() if not _is_sign(look))
    if looks[look] == 1 and not _is_sign(look) and 10 * single <= len(rests):
        yield first


def _after(
    bodies: Sequence[str], printed: Sequence[int], commands: Sequence[int], rests: Collection[int]
) -> Iterator[int]:
    """The rows behind the last block between commands that can be a dump: large, or with a header."""
    if not commands:
        return
    edges = [-1, *commands]
    sizes = [0] * len(edges)
    heads = [False] * len(edges)
    block = 0
    for n in printed:
        while block + 1 < len(edges) and edges[block + 1] < n:
            block += 1
        sizes[block] += 1
        heads[block] |= sizes[block] == 1 and _look(bodies[n]) == "#"
    largest = max(sizes)
    if not largest:
        return
    dump = max(n for n, size in enumerate(sizes) if 5 * size >= largest or (heads[n] and size > 2))
    if dump + 1 < len(edges):
        begin = edges[dump + 1]
        yield from sorted(n for n in {*printed, *rests} if n >= begin)
