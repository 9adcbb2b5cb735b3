"""An adapted preset as the text that is typed."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.preset.adapt import Kept, Part
from cfgaudit.dialect.typed import Fate, Session

LONGEST = 160  # characters of one of the preset's lines that a remark repeats


def adapted_lines(session: Session, parts: tuple[Part, ...], *, hide: bool) -> Iterator[str]:
    """The lines, each change with its reason in a remark before it; at the end what keeps them.

    ``session`` is the preset's own. ``hide``: a line that holds a private value is only named. Every
    line can be printed as it is, and typed as it is printed.
    """
    last = ""
    for line in _lines(session, parts, hide=hide):
        if line or last:
            yield line
        last = line
    if keep := session.before.dialect.keep_with:
        added = bool(parts) and parts[-1].kept is Kept.ADDED
        yield from ("", keep) if added else (keep,)


def _lines(session: Session, parts: tuple[Part, ...], *, hide: bool) -> Iterator[str]:
    sign, added = session.before.dialect.remark, False
    typed = commands(session)
    for part in parts:
        own = part.was[0] if part.was else None
        if own and own.line in typed:
            continue
        if (part.kept is Kept.ADDED) is not added:
            added = not added
            yield from ("", f"{sign} Beside the preset, for this build:") if added else ("",)
        if part.kept is Kept.LEFT_OUT and own:
            yield f"{sign} left out: {_remark(session.shown(own))}"
        elif part.kept is Kept.REPLACED and own:
            yield f"{sign} in place of: {_remark(session.shown(own))}"
        if part.kept is not Kept.AS_IT_IS:
            yield from (f"{sign}   {_remark(reason)}" for reason in part.reasons)
        if part.kept is not Kept.LEFT_OUT:
            yield _line(part, session, sign, hide=hide)


def commands(session: Session) -> frozenset[int]:
    """The lines that keep, restart or ask for a dump: an adapted preset has its own at the end."""
    fates = (Fate.KEEPS, Fate.RESTARTS, Fate.SHOWS)
    return frozenset(one.statement.line for one in session.typed if one.fate in fates)


def _line(part: Part, session: Session, sign: str, *, hide: bool) -> str:
    own = part.was[0] if part.was else None
    if own and own.line in session.private and hide:
        return f"{sign} {_remark(session.shown(own))}: type it yourself"
    # a terminal would act on a control character instead of passing it on; a tab is a blank to all of them
    line = part.line.replace("\t", " ")
    return line if line.isprintable() else f"{sign} left out, since it cannot be typed: {_remark(line)}"


def _remark(text: str) -> str:
    """A text as it stands in a remark: on one line, printable, not longer than it takes to know it again."""
    line = "".join(
        one if one.isprintable() else "\N{REPLACEMENT CHARACTER}" for one in " ".join(text.split())
    )
    return line if len(line) <= LONGEST else f"{line[: LONGEST - 1]}…"
