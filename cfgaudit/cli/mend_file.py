"""The mends of an audit in a new file to paste, and beside it the file that takes them back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import cfgaudit
from cfgaudit.cli.output import say
from cfgaudit.cli.own_file import write_all_new
from cfgaudit.dialect.read import MENDS, TAKES_BACK
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines
from cfgaudit.model.sheet import Build
from cfgaudit.report.safe import safe


def write_mends(name: str, reading: Reading, sheet: Build, mends: Lines) -> None:
    """Write FILE and FILE.undo. Raises Refusal if one of them is there: nothing is written over."""
    if not mends.lines:
        say("nothing can be mended by lines: no file written")
        _say_what_is_left(mends)
        return
    what = f"{reading.dump.file} by {sheet.file} (version {cfgaudit.__version__})"
    mend, undo = Path(name), Path(f"{name}.undo")
    texts = {
        mend: _text(reading, f"{MENDS} {what}; the way back: {undo.name}", mends.lines, mends.wait),
        undo: _text(reading, f"{TAKES_BACK} its mends of {what}", mends.undo, mends.wait),
    }
    write_all_new({str(file): text for file, text in texts.items()})
    say(f"mends written to {mend}, the way back to {undo}")
    _say_what_is_left(mends)


def _say_what_is_left(mends: Lines) -> None:
    for reason in mends.cannot:
        say(f"not mended: {reason}")


def _text(reading: Reading, what: str, lines: tuple[str, ...], wait: str) -> str:
    return "".join(f"{line}\n" for line in _lines(reading, what, lines, wait))


def _lines(reading: Reading, what: str, lines: tuple[str, ...], wait: str) -> Iterator[str]:
    sign = reading.dialect.remark
    yield f"{sign} {safe(what)}"
    yield f"{sign} Propellers off before anything is tried. Read each line against the solder joints."
    for line in lines:
        # a terminal would act on a control character instead of passing it on
        yield line if line.isprintable() else f"{sign} left out, since it cannot be typed: {safe(line)}"
    if reading.dialect.keep_with:
        yield f"{sign} then type: {safe(reading.dialect.keep_with)}"
    if wait:
        yield f"{sign} in force after a {safe(wait)}"
