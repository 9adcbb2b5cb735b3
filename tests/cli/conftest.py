"""What all tests of the command line share."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

import cfgaudit.audit.book
import cfgaudit.dialect.shelf
from tests.house.checkout import ROOT

# A run takes half its time to read the rules and dialects in the box, which no test here changes.
ONCE = [
    (module, name, cache(getattr(module, name)))
    for module, name in (
        (cfgaudit.audit.book, "shipped_rules"),
        (cfgaudit.dialect.shelf, "shipped_dialects"),
    )
]


@pytest.fixture(autouse=True)
def _at_the_root(monkeypatch: pytest.MonkeyPatch) -> None:
    """Names of samples in reports stay as the README gives them."""
    monkeypatch.chdir(ROOT)


@pytest.fixture(scope="module", autouse=True)
def _the_box_is_read_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        for module, name, cached in ONCE:
            patch.setattr(module, name, cached)
        yield
