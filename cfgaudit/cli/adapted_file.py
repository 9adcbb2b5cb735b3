"""A preset that fits this build, in a new file."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import cfgaudit
from cfgaudit.cli.output import say
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build
from cfgaudit.report.safe import safe


def write_adapted(name: str, sheet: Build, run: DryRun) -> None:
    """Write the adapted preset, private values and all. Raises Refusal if the file is there."""
    file = Path(name)
    if os.path.lexists(file):
        raise Refusal("this file is there already", "name a new one", Place(name, 1, 1))
    text = "".join(f"{line}\n" for line in _lines(sheet, run))
    made = False
    try:
        with file.open("x", encoding="utf-8", newline="") as target:
            made = True
            target.write(text)
    except (OSError, ValueError) as error:
        if made:
            file.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(name, 1, 1)) from None
    private = f", with {_values(run)} that no report shows" if _values(run) else ""
    say(f"the adapted preset was written to {file}{private}")


def _values(run: DryRun) -> str:
    count = len(run.session.private)
    return "" if not count else "a private value" if count == 1 else f"{count} private values"


def _lines(sheet: Build, run: DryRun) -> Iterator[str]:
    sign, session = run.session.before.dialect.remark, run.session
    what = f"{run.preset.file} on top of {session.before.dump.file}, by {sheet.file}"
    yield f"{sign} {safe(f'adapted from {what} (cfgaudit {cfgaudit.__version__})')}"
    yield f"{sign} Propellers off before anything is tried. Read each line against the solder joints."
    yield from adapted_lines(session, run.adapted.parts, hide=False)
