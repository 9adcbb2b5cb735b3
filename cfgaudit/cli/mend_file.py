"""The mends of an audit in a new file to paste, and beside it the file that takes them back."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import cfgaudit
from cfgaudit.cli.output import say
from cfgaudit.dialect.read import MENDS, TAKES_BACK
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
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
    for file in texts:
        if os.path.lexists(file):
            raise Refusal("this file is there already", "name a new one", Place(str(file), 1, 1))
    written: list[Path] = []
    try:
        for file, text in texts.items():
            with file.open("x", encoding="utf-8", newline="") as target:
                written.append(file)
                target.write(text)
    except (OSError, ValueError) as error:
        for file in written:
            file.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(name, 1, 1)) from None
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
