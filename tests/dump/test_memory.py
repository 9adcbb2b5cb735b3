"""What reading a long dump takes of memory: bounded by the file's size, and in step with it.

Whole processes: the peak is the system's own count, which other tests in this process would blur.
"""

from __future__ import annotations

import sys

import pytest

from tests.bench.memory import BOUND, multiples

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells the peak this way")


@pytest.mark.parametrize("known", [True, False], ids=["known", "unknown"])
@pytest.mark.parametrize("sample", ["otter", "heron", "vole"])
def test_memory_goes_by_the_file(sample: str, known: bool) -> None:
    (_, _, first), (_, _, second) = multiples(sample, known=known, sizes=(20_000, 40_000))
    assert second <= BOUND
    assert second <= 1.5 * first
