"""A preset that fits this build, in a new file."""

from __future__ import annotations

from collections.abc import Iterator

import cfgaudit
from cfgaudit.cli.output import say
from cfgaudit.cli.own_file import write_new
from cfgaudit.compare.preset.preset import DryRun
from cfgaudit.compare.preset.text import adapted_lines
from cfgaudit.model.sheet import Build
from cfgaudit.report.safe import safe


def write_adapted(name: str, sheet: Build, run: DryRun) -> None:
    """Write the adapted preset, private values and all. Raises Refusal if the file is there."""
    write_new(name, "".join(f"{line}\n" for line in _lines(sheet, run)))
    private = f", with {_values(run)} that no report shows" if _values(run) else ""
    say(f"the adapted preset was written to {name}{private}")


def _values(run: DryRun) -> str:
    count = len(run.session.private)
    return "" if not count else "a private value" if count == 1 else f"{count} private values"


def _lines(sheet: Build, run: DryRun) -> Iterator[str]:
    sign, session = run.session.before.dialect.remark, run.session
    what = f"{run.preset.file} on top of {session.before.dump.file}, by {sheet.file}"
    yield f"{sign} {safe(f'adapted from {what} (cfgaudit {cfgaudit.__version__})')}"
    yield f"{sign} Propellers off before anything is tried. Read each line against the solder joints."
    yield from adapted_lines(session, run.adapted.parts, hide=False)
