"""A comparison is for a commit hook: it must not be felt."""

from __future__ import annotations

import subprocess
import sys
from time import perf_counter

from cfgaudit.compare.compare import compare
from cfgaudit.model.value import Value
from tests.compare.sides import side
from tests.house.checkout import ROOT


def thousand(shift: int) -> dict[str, Value]:
    """Leaves of 25 profiles, ports and elements, a few of which depend on ``shift``."""
    leaves: dict[str, Value] = {}
    for n in range(25):
        leaves |= {f"profiles.{n}.gain_{k}": k + (shift if k == n else 0) for k in range(20)}
        leaves |= {f"ports.SOFT{n}.rates_baud.job-{k}": 9600 * k for k in range(12)}
        leaves |= {f"osd.elements.e{n}.{key}": n + shift * (n == 3) for key in ("column", "row", "width")}
        leaves |= {f"outputs.{n}.pin": f"PA{n}", f"outputs.{n}.motor": n + 1}
        leaves |= {f"modes.mode_{n}.0.{key}": 1000 + n for key in ("channel", "from_us", "to_us")}
    return leaves


def test_a_thousand_leaves_take_well_under_a_tenth_of_a_second() -> None:
    a, b = side(thousand(0)), side(thousand(1))
    compare(a, b)  # the import is paid once
    took = []
    for _ in range(5):
        start = perf_counter()
        found = compare(a, b)
        took.append(perf_counter() - start)
    assert len(a.model.leaves) == 1000
    assert len(found.changes) == 21
    assert min(took) < 0.08


def test_the_library_is_not_loaded_for_two_equal_configurations() -> None:
    code = (
        "import sys\n"
        "from cfgaudit.compare.compare import compare\n"
        "from tests.compare.sides import side\n"
        "same = compare(side({'loop.gyro_hz': 1}), side({'loop.gyro_hz': 1.0})).same\n"
        "sys.exit(0 if same and 'deepdiff' not in sys.modules else 1)\n"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0
