"""How far drafting and teaching go: firmwares drawn at random, taught by the lessons that the tool asks for.

python tests/bench/teach.py [FIRMWARES [FIRST]]
"""

from __future__ import annotations

import pathlib
import sys
from collections import Counter
from random import Random

from msgspec import Struct

sys.path.insert(0, str(pathlib.Path(__file__).parents[2]))

from tests.dialect.teach.firmware import Mark, Start, firmware, marked, schooled

DUMPS = 100


class Tally(Struct):
    """What came of all firmwares, from one start."""

    shapes: int = 0
    settled: int = 0
    wrong: int = 0
    exact: int = 0
    dumps: int = 0
    lessons: int = 0
    silent: int = 0  # paths that were not read, and nothing said

    def add(self, mark: Mark, lessons: int) -> None:
        """Count one firmware."""
        self.shapes += len(mark.shapes)
        self.settled += len(mark.settled & mark.shapes)
        self.wrong += len(mark.wrong & mark.settled)
        self.exact += mark.exact
        self.dumps += mark.read
        self.lessons += lessons
        self.silent += len(mark.silent)


def main(count: int, first: int) -> None:
    """Print the shares settled, wrong and read exactly, the mean number of lessons, and what stays open."""
    print("start      settled  wrong  exact dumps  lessons/firmware  lessons/path  silent")
    for start in Start:
        tally = Tally()
        still: Counter[str] = Counter()
        faults = []
        for seed in range(first, first + count):
            dice = Random(seed)
            made = firmware(dice, numbered=start is Start.SHEET)
            school = schooled(made, dice, start)
            mark = marked(made, school, dice, DUMPS)
            tally.add(mark, school.lessons)
            still.update(".".join(shape) for shape in mark.shapes - mark.settled)
            faults += [f"{seed}: refused: {one.fact.text} ({one.why})" for one in school.refused[:1]]
            faults += [f"{seed}: wrong: {'.'.join(shape)}" for shape in mark.wrong & mark.settled]
        print(
            f"{start:9} {tally.settled / tally.shapes:8.1%} {tally.wrong:6} {tally.exact / tally.dumps:12.1%}"
            f" {tally.lessons / count:17.1f} {tally.lessons / tally.shapes:13.1f} {tally.silent:7}"
        )
        for shape, times in still.most_common():
            print(f"    open: {shape} in {times} of {count}")
        for fault in faults:
            print(f"    {fault}")


if __name__ == "__main__":
    given = [*map(int, sys.argv[1:])]
    main(given[0] if given else 20, given[1] if len(given) > 1 else 0)
