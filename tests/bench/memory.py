"""Memory of reading: whole processes that read dumps of 25,000, 50,000 and 100,000 lines.

python tests/bench/memory.py

What a process takes beyond one that reads an empty dump, as a multiple of the file's size; and how
that grows when the file doubles. Linux only: the peak comes from the kernel's own count. (What
getrusage tells would begin with the memory of the process that started this one.)
"""

from __future__ import annotations

import pathlib
import subprocess
import sys
import tempfile
from collections.abc import Iterator

ROOT = pathlib.Path(__file__).parents[2]
SIZES = (25_000, 50_000, 100_000)
BOUND = 40  # times the file

_CHILD = """
import sys
import cfgaudit
cfgaudit.read_dump(sys.argv[1])
with open("/proc/self/status") as status:
    print(next(line.split()[1] for line in status if line.startswith("VmHWM")))
"""


def long_dump(sample: str, count: int, *, known: bool) -> Iterator[str]:
    """A good dump, drawn out to so many lines.

    ``known``: by its own lines again and again, each of which wins over the one before; else by
    settings that no dialect knows, all different.
    """
    lines = (ROOT / "samples" / sample / "known-good.txt").read_text("utf-8").splitlines()
    yield from lines
    own = [line for line in lines if line and line[0].isalpha()]
    operator = {"otter": " := ", "heron": " = ", "vole": ","}[sample]
    for n in range(count - len(lines)):
        yield own[n % len(own)] if known else f"SPARE_SETTING_{n}{operator}{n % 997}"


def peak_kib(path: pathlib.Path) -> int:
    """The most memory that a process held while it read a dump, in KiB."""
    command = [sys.executable, "-c", _CHILD, str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    return int(done.stdout)


def multiples(
    sample: str, *, known: bool, sizes: tuple[int, ...] = SIZES
) -> Iterator[tuple[int, int, float]]:
    """Lines, size of the file in KiB, and memory beyond an empty dump's as a multiple of it."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "dump.txt"
        head = (ROOT / "samples" / sample / "known-good.txt").read_text("utf-8").splitlines()[:2]
        path.write_text("\n".join([*head, ""]), "utf-8")
        idle = peak_kib(path)
        for count in sizes:
            path.write_text("\n".join([*long_dump(sample, count, known=known), ""]), "utf-8")
            size = path.stat().st_size // 1024
            yield count, size, (peak_kib(path) - idle) / size


def main() -> None:
    """Print the multiples, and by how much they grow."""
    for sample in ("otter", "heron", "vole"):
        for known in (True, False):
            found = [*multiples(sample, known=known)]
            what = "its own lines again" if known else "settings unknown to it"
            print(f"{sample}, {what}: " + ", ".join(f"{n:,} lines {times:.1f} ×" for n, _, times in found))
            (_, first, one), *_, (_, last, other) = found
            print(f"  file × {last / first:.2f}: memory × {last * other / (first * one):.2f}")
            print(f"  within {BOUND} times the file: {'yes' if other <= BOUND else 'NO'}")


if __name__ == "__main__":
    main()
