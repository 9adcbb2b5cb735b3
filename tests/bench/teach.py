"""How far teaching goes: firmwares drawn at random, taught by the lessons that the tool asks for.

python tests/bench/teach.py [FIRMWARES]
"""

from __future__ import annotations

import pathlib
import sys
from random import Random

sys.path.insert(0, str(pathlib.Path(__file__).parents[2]))

from tests.dialect.teach.firmware import firmware, marked, schooled


def main(count: int) -> None:
    """Print the share settled, the share read exactly, and the mean number of lessons."""
    settled = shapes = exact = read = lessons = wrong = 0
    for seed in range(count):
        dice = Random(seed)
        made = firmware(dice)
        school = schooled(made, dice)
        mark = marked(made, school, dice, 100)
        settled += len(mark.settled)
        shapes += len(mark.shapes)
        exact += mark.exact
        read += mark.read
        lessons += school.lessons
        wrong += len(mark.wrong & mark.settled)
    print(f"{count} firmwares, {shapes / count:.1f} paths each")
    print(f"paths settled:           {settled / shapes:.1%}, of them read wrongly: {wrong}")
    print(f"held-back dumps exact:   {exact / read:.1%}")
    print(f"lessons for a firmware:  {lessons / count:.1f} on average, {lessons / shapes:.1f} a path")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
