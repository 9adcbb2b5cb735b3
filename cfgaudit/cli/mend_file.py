"""The mends of an audit in a new file to paste, and beside it the file that takes them back."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import cfgaudit
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.write import Lines
from cfgaudit.model.place import Place
from cfgaudit.model.refusal import Refusal
from cfgaudit.model.sheet import Build


def write_mends(name: str, reading: Reading, sheet: Build, mends: Lines) -> None:
    """Write FILE and FILE.undo. Raises Refusal if one of them is there: nothing is written over."""
    if not mends.lines:
        print("no finding has a mend: nothing written", file=sys.stderr)
        return
    what = f"for {reading.dump.file}, by {sheet.file} and cfgaudit {cfgaudit.__version__}"
    mend, undo = Path(name), Path(f"{name}.undo")
    texts = {
        mend: _text(reading, f"mends {what}; to take them back: {undo.name}", mends.lines),
        undo: _text(reading, f"takes back the mends {what}", mends.undo),
    }
    for file in texts:
        if file.exists() or file.is_symlink():
            raise Refusal("this file is there already", "name a new one", Place(str(file), 1, 1))
    written: list[Path] = []
    try:
        for file, text in texts.items():
            with file.open("x", encoding="utf-8", newline="") as target:
                written.append(file)
                target.write(text)
    except OSError as error:
        for file in written:
            file.unlink(missing_ok=True)
        reason = error.strerror or "the system does not say why"
        raise Refusal(f"cannot be written ({reason})", "name another file", Place(name, 1, 1)) from None
    print(f"mends written to {mend}, the way back to {undo}", file=sys.stderr)
    for reason in mends.cannot:
        print(f"not mended: {reason}", file=sys.stderr)


def _text(reading: Reading, what: str, lines: tuple[str, ...]) -> str:
    return "".join(f"{line}\n" for line in _lines(reading, what, lines))


def _lines(reading: Reading, what: str, lines: tuple[str, ...]) -> Iterator[str]:
    sign = reading.dialect.remark
    yield f"{sign} {what}"
    yield f"{sign} Propellers off before anything is tried. Read each line against the solder joints."
    yield from lines
    if reading.dialect.keep_with:
        yield f"{sign} then type: {reading.dialect.keep_with}"
