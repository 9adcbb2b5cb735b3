"""Audits whole fleets: craft a second, time at work for each, and the peak memory of all processes.

python tests/bench/fleet.py [--jobs 2] [250 1000]

Each fleet is made from the samples (tests/compare/fleet/fleets.py) and audited by a process of its own,
start to exit. Linux only: peaks are the kernel's own count, looked at while the processes run.
"""

from __future__ import annotations

import argparse
import os
import pathlib
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.compare.fleet.fleets import make_fleet  # noqa: E402  # the path comes first

LOOK = 0.02  # seconds between two looks


def peak_kib(pid: int) -> int:
    """The most memory that a process has held so far, in KiB; 0 if it is gone."""
    try:
        status = pathlib.Path(f"/proc/{pid}/status").read_text()
        return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM")))
    except (OSError, StopIteration):
        return 0


def worked(pid: int) -> float:
    """The seconds that a process has been at work so far, whatever else the machine did; 0 if it is gone."""
    try:
        fields = pathlib.Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def family(pid: int) -> list[int]:
    """A process and all that it has started, by the kernel's lists of children."""
    try:
        files = list(pathlib.Path(f"/proc/{pid}/task").glob("*/children"))
        below = [int(one) for file in files for one in file.read_text().split()]
    except OSError:
        below = []
    return [pid, *(deeper for one in below for deeper in family(one))]


def audited(folder: pathlib.Path, jobs: int) -> tuple[float, dict[int, int], dict[int, float]]:
    """Seconds, and of each process, the command's own first, its peak and its time at work."""
    command = [sys.executable, "-m", "cfgaudit", "fleet", str(folder), "--jobs", str(jobs)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    peaks: dict[int, int] = {}
    times: dict[int, float] = {}
    start = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, env=environment) as running:
        while running.poll() is None:
            for pid in family(running.pid):
                peaks[pid] = max(peaks.get(pid, 0), peak_kib(pid))
                times[pid] = max(times.get(pid, 0), worked(pid))
            time.sleep(LOOK)
    return time.perf_counter() - start, peaks, times


def main() -> None:
    """Print a line for each size of fleet."""
    options = argparse.ArgumentParser()
    options.add_argument("sizes", type=int, nargs="*", default=[250, 1000])
    options.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    given = options.parse_args()
    for size in given.sizes:
        with tempfile.TemporaryDirectory() as top:
            make_fleet(pathlib.Path(top) / "fleet", size)
            seconds, peaks, times = audited(pathlib.Path(top) / "fleet", given.jobs)
        own, *others = (round(peak / 1024) for peak in peaks.values())
        print(
            f"{size:,} craft, {given.jobs} jobs: {size / seconds:.0f} craft a second ({seconds:.1f} s, "
            f"{1000 * sum(times.values()) / size:.0f} ms of work a craft, "
            f"{1000 * next(iter(times.values())) / size:.1f} of them in the command itself); "
            f"peak {own} MiB, its workers {', '.join(map(str, others)) or 'none'} MiB"
        )


if __name__ == "__main__":
    main()
