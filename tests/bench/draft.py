"""How long a draft takes: `python tests/bench/draft.py`. A dump of 3,000 lines, with its build sheet."""

from __future__ import annotations

import pathlib
import statistics
import sys
import time

ROOT = pathlib.Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from cfgaudit.dialect.draft.draft import draft  # noqa: E402
from cfgaudit.dump.text import Text  # noqa: E402
from cfgaudit.model.sheet import read_build  # noqa: E402

LINES = 3_000
ROUNDS = 5


def stretched(dump: str, sectioned: bool) -> str:
    """The dump with rows, settings and sections of its own kind added until it has so many lines."""
    rows = dump.splitlines()
    for n in range(LINES - len(rows)):
        if sectioned:
            rows.append(f"[bank {n}]" if n % 6 == 0 else f"reach.{n % 6} = {n * 7 % 900}")
        else:
            rows.append(
                f"bank {n} by {n * 7 % 900} to w{n % 9}" if n % 3 else f"extra.n{n} := {n * 31 % 4000}"
            )
    return "\n".join(rows)


def main() -> None:
    """Print the median of a few rounds for each family. No line is known from the round before."""
    from cfgaudit.dump.read import _known

    for craft in ("otter", "heron"):
        folder = ROOT / "samples" / craft
        text = stretched((folder / "known-good.txt").read_text("utf-8"), craft == "heron")
        sheet = read_build(folder / "build.yaml")
        took = []
        for _ in range(ROUNDS):
            _known.cache_clear()
            start = time.perf_counter()
            draft(Text(f"{craft}.txt", text, "utf-8", mark=False), sheet)
            took.append(time.perf_counter() - start)
        print(f"draft of {len(text.splitlines())} lines as {craft}'s: {statistics.median(took):.2f} s")


if __name__ == "__main__":
    main()
