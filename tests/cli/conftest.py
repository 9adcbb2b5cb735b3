"""What all tests of the command line share."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from cfgaudit.audit import book
from tests.house.checkout import ROOT

# A run takes much of its time to read the rules in the box, which no test here changes.
RULES = cache(book.shipped_rules)


@pytest.fixture(autouse=True)
def _at_the_root(monkeypatch: pytest.MonkeyPatch) -> None:
    """Names of samples in reports stay as the README gives them."""
    monkeypatch.chdir(ROOT)


@pytest.fixture(scope="module", autouse=True)
def _the_rules_are_read_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(book, "shipped_rules", RULES)
        yield
