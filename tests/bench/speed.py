"""How fast the program is beside tools that do comparable work: `python tests/bench/speed.py`.

Every figure is a whole process, start to exit. The commands of all comparisons take turns, round
after round, so that a busy machine slows them alike; the medians are compared. Not a test: what
a machine takes is its own affair, the ratios are what to watch.
"""

from __future__ import annotations

import argparse
import itertools
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

ROOT = pathlib.Path(__file__).parents[2]
OTTER, HERON = ROOT / "samples" / "otter", ROOT / "samples" / "heron"
LINES = 1_000

# What the console scripts do, without the search for them on the path.
CFGAUDIT = (sys.executable, "-c", "from cfgaudit.cli.main import run; run()")
CHECK_JSONSCHEMA = (sys.executable, "-m", "check_jsonschema")

Command = tuple[str, ...]


@dataclass(frozen=True)
class Race:
    """One of our commands against a yardstick, which counts ``times`` times over."""

    title: str
    ours: Command
    yardstick: Command
    times: int = 1


def stretched(dump: str, lines: int = LINES) -> str:
    """The dump with its tuning profiles written again until it has this many lines, all understood."""
    own = dump.splitlines()
    first = next(n for n, line in enumerate(own) if line.startswith("tune "))
    again = itertools.cycle(own[first:])
    return "\n".join([*own, *itertools.islice(again, max(0, lines - len(own)))]) + "\n"


def altered(dump: str) -> str:
    """The dump with the grip of every tuning profile one higher."""
    return "".join(
        f"{line.rpartition(' ')[0]} {int(line.rpartition(' ')[2]) + 1}\n"
        if line.startswith("grip.")
        else line
        for line in dump.splitlines(keepends=True)
    )


def singled(dump: str) -> str:
    """The dump with repeated lines numbered: hier-config takes no line twice."""
    seen: Counter[str] = Counter()
    return "".join(f"{line} {seen[line]}\n" for line in dump.splitlines() if not seen.update([line]))


def races(room: pathlib.Path) -> tuple[Race, ...]:
    """Write the input files into ``room`` and say what runs on them."""
    before, after = room / "before.txt", room / "after.txt"
    before.write_text(stretched((OTTER / "known-good.txt").read_text("utf-8")), "utf-8")
    after.write_text(altered(before.read_text("utf-8")), "utf-8")
    flat_before, flat_after = room / "flat-before.txt", room / "flat-after.txt"
    flat_before.write_text(singled(before.read_text("utf-8")), "utf-8")
    flat_after.write_text(singled(after.read_text("utf-8")), "utf-8")
    sheet, schema = OTTER / "build.yaml", ROOT / "cfgaudit" / "model" / "build.schema.json"
    hier = ROOT / "tests" / "bench" / "hier.py"
    good = str(OTTER / "known-good.txt")
    names = {"old-factory": "factory-2.3.1", "mine": "known-good", "new-factory": "factory-3.0"}
    update = [part for name, file in names.items() for part in (f"--{name}", str(HERON / f"{file}.txt"))]
    return (
        Race(
            "numbers of otter ÷ audit of it",
            (*CFGAUDIT, "numbers", good, "--build", str(sheet)),
            (*CFGAUDIT, "audit", good, "--build", str(sheet)),
        ),
        Race(
            f"audit of {LINES} lines ÷ check-jsonschema of the build sheet",
            (*CFGAUDIT, "audit", str(before), "--build", str(sheet)),
            (*CHECK_JSONSCHEMA, "--schemafile", str(schema), str(sheet)),
        ),
        Race(
            f"diff of two {LINES}-line dumps ÷ hier-config's reading and comparing",
            (*CFGAUDIT, "diff", str(before), str(after)),
            (sys.executable, str(hier), str(flat_before), str(flat_after)),
        ),
        Race(
            "preset of otter, tried ÷ twice an audit of it",
            (
                *CFGAUDIT,
                "preset",
                str(OTTER / "before.txt"),
                str(OTTER / "preset.txt"),
                "--build",
                str(sheet),
            ),
            (*CFGAUDIT, "audit", good, "--build", str(sheet)),
            times=2,
        ),
        Race(
            "firmware update of heron, audited ÷ twice an audit of it",
            (*CFGAUDIT, "carry", *update, "--build", str(HERON / "build.yaml")),
            (*CFGAUDIT, "audit", str(HERON / "known-good.txt"), "--build", str(HERON / "build.yaml")),
            times=2,
        ),
        Race(
            "check against a baseline ÷ twice an audit",
            (
                *CFGAUDIT,
                "baseline",
                "check",
                good,
                "--build",
                str(sheet),
                "--against",
                str(OTTER / "baseline.txt"),
            ),
            (*CFGAUDIT, "audit", good, "--build", str(sheet)),
            times=2,
        ),
        Race(
            "cfgaudit --version ÷ twice python importing click",
            (*CFGAUDIT, "--version"),
            (sys.executable, "-c", "import click"),
            times=2,
        ),
    )


def seconds(command: Command, cwd: pathlib.Path) -> float:
    """Wall time of one run. SystemExit if the command could not do its work."""
    # An installed program has its modules compiled already; let the first round do the same here.
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(cwd / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    start = time.perf_counter()
    done = subprocess.run(command, cwd=cwd, env=environment, capture_output=True)
    took = time.perf_counter() - start
    # Exit code 1 is work done, with something found; but a crash gives it too.
    if done.returncode not in (0, 1) or b"Traceback" in done.stderr:
        sys.exit(f"{' '.join(command)}\nexit code {done.returncode}\n{done.stderr.decode()}")
    return took


def medians(commands: Sequence[Command], rounds: int, cwd: pathlib.Path) -> dict[Command, float]:
    """Median seconds by command, over rounds in which each runs once; a first round only warms up."""
    runs = [{command: seconds(command, cwd) for command in commands} for _ in range(rounds + 1)][1:]
    return {command: statistics.median(run[command] for run in runs) for command in commands}


def main() -> None:
    """Race, then print one line a comparison."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--rounds", type=int, default=11, help="how often each command runs")
    rounds: int = options.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        room = pathlib.Path(folder)
        contest = races(room)
        commands = tuple(
            dict.fromkeys(command for race in contest for command in (race.ours, race.yardstick))
        )
        took = medians(commands, rounds, room)
    print(f"medians of {rounds} rounds, whole processes, Python {sys.version.split()[0]}")
    for race in contest:
        ours, theirs = took[race.ours], took[race.yardstick] * race.times
        print(f"{ours / theirs:5.2f}  {race.title}  ({ours * 1e3:.0f} ms ÷ {theirs * 1e3:.0f} ms)")


if __name__ == "__main__":
    main()
