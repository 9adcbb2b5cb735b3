"""An adapted preset as the text that is typed."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.compare.preset.adapt import Kept, Part
from cfgaudit.dialect.typed import Fate, Session


def adapted_lines(session: Session, parts: tuple[Part, ...], *, hide: bool) -> Iterator[str]:
    """The lines, each change with its reason in a remark before it; at the end what keeps them.

    ``session`` is the preset's own. ``hide``: a line that holds a private value is only named.
    """
    dialect = session.before.dialect
    commands = {
        one.statement.line for one in session.typed if one.fate in (Fate.KEEPS, Fate.RESTARTS, Fate.SHOWS)
    }
    sign, added = dialect.remark, False
    for part in parts:
        own = session.statements[part.was[0].line - 1] if part.was else None
        if own and own.line in commands:
            continue
        if part.kept is Kept.ADDED and not added:
            added = True
            yield f"{sign} Beside the preset, for this build:"
        if part.kept is Kept.LEFT_OUT and own:
            yield f"{sign} left out: {session.shown(own)}"
        elif part.kept is Kept.REPLACED and own:
            yield f"{sign} in place of: {session.shown(own)}"
        if part.kept is not Kept.AS_IT_IS:
            yield from (f"{sign}   {' '.join(reason.split())}" for reason in part.reasons)
        if part.kept is not Kept.LEFT_OUT:
            yield _line(part, session, sign, hide=hide)
    if dialect.keep_with:
        yield dialect.keep_with


def _line(part: Part, session: Session, sign: str, *, hide: bool) -> str:
    own = part.was[0] if part.was else None
    if own and own.line in session.private and hide:
        return f"{sign} {session.shown(own)}: type it yourself"
    # a terminal would act on a control character instead of passing it on
    return part.line if part.line.replace("\t", " ").isprintable() else f"{sign} left out: it cannot be typed"
