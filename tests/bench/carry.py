"""How long an update takes that has very many settings: 20,000 of them three ways.

Run it by itself: ``python tests/bench/carry.py``. Times are held against each other within one run.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from cfgaudit.compare.carry.carry import plan
from cfgaudit.compare.carry.fate import Fate
from cfgaudit.dialect.dialect import Dialect
from cfgaudit.dialect.load import dialect
from cfgaudit.dialect.read import read_dump
from cfgaudit.dialect.reading import Reading
from cfgaudit.dialect.recognise import as_dialect
from cfgaudit.dump.text import Text
from cfgaudit.model.placed import read_yaml

SETTINGS = 20_000
CHANGED = 1_000  # by the builder
MOVED, RENAMED, GONE = 400, 200, 50  # by the firmware


def main() -> None:
    gc.disable()
    dice = Random(7)
    made = dialect(read_yaml("\n".join(_dialect()), "wren.yaml"))
    values = {n: dice.randint(0, 99) for n in range(SETTINGS)}
    mine = values | {n: dice.randint(0, 99) for n in dice.sample(range(SETTINGS), CHANGED)}
    new = values | {n: dice.randint(0, 99) for n in dice.sample(range(SETTINGS), MOVED)}
    start = time.perf_counter()
    dumps = [_read(made, "1.0", values, {}), _read(made, "1.0", mine, {}), _read(made, "2.0", new, _names())]
    reading = time.perf_counter() - start
    start = time.perf_counter()
    planned = plan(*dumps)
    took = time.perf_counter() - start
    fates = {fate: sum(one.fate is fate for one in planned.carried) for fate in Fate}
    print(f"{SETTINGS:,} settings three ways: {took:.2f} s, {took / reading:.2f} of reading the three dumps")
    print(", ".join(f"{number} {fate.value}" for fate, number in fates.items() if number))
    print(f"{len(planned.moved)} moved by the firmware, {len(planned.script)} lines of script")


def _name(n: int) -> str:
    return f"part{n % 40}.item{n}"


def _names() -> dict[int, str]:
    """What version 2.0 calls otherwise."""
    return {n: f"part{n % 40}.thing{n}" for n in range(RENAMED)}


def _dialect() -> Iterator[str]:
    yield from ("dialect: wren", "family: console", 'header: "wren {firmware.version}, {extent}"')
    yield 'assignment: "{name} := {value}"'
    yield "settings:"
    for n in range(SETTINGS):
        is_gone = RENAMED <= n < RENAMED + GONE
        yield f'  {_name(n)}: {{integer: , until: "2.0"}}' if is_gone else f"  {_name(n)}: integer"
    yield "renamed:"
    yield '  "2.0":'
    for n, name in _names().items():
        yield f"    {_name(n)}: {name}"


def _read(made: Dialect, version: str, values: dict[int, int], names: dict[int, str]) -> Reading:
    gone = range(RENAMED, RENAMED + GONE) if version == "2.0" else ()
    lines = [f"{names.get(n, _name(n))} := {value}" for n, value in values.items() if n not in gone]
    text = "\n".join([f"~ wren {version}, full", *lines, ""])
    source = Text(f"{version}.txt", text, "utf-8", mark=False)
    return read_dump(source, as_dialect(source, made))


if __name__ == "__main__":
    main()
