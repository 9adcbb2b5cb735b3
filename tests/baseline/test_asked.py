"""What is read of a version in part is what the whole of it says."""

from __future__ import annotations

from functools import partial

import pytest

import cfgaudit
from cfgaudit.baseline.asked import Asked, matters
from cfgaudit.baseline.history import Desk, asked_of, between
from cfgaudit.dialect.reading import Reading
from cfgaudit.model.path import dotted
from tests.baseline.repository import baseline

SAMPLES = ("otter/known-good.txt", "heron/known-good.txt", "vole/known-good.txt", "vole/changed-only.txt")


def read(data: bytes) -> Reading:
    return cfgaudit.read_dump("a.txt", data=data)


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_part_says_what_the_whole_says(sample: str) -> None:
    data = baseline(sample).encode()
    whole = read(data)
    paths = {dotted(path[:end]) for path in whole.model.leaves for end in range(1, 4)}
    names = {entry.label for entry in whole.entries} | {entry.form.label for entry in whole.entries}
    short = 0
    for text in sorted(paths | names):
        asked = Asked(text)
        desk = Desk(asked, {"a": data}, partial(lambda _: whole))
        assert desk.sight("a") == asked.sees(whole), text
        found = matters(asked, whole)
        short += found is not None
    assert short > 0.9 * len(paths | names)  # and most can be told by their lines


@pytest.mark.parametrize("sample", SAMPLES)
def test_what_changed_is_seen_in_a_part(sample: str) -> None:
    data = baseline(sample).encode()
    other = "heron/after-update.txt" if sample.startswith("heron") else sample
    newer = baseline(other).replace("0", "1").replace("recorded 2116", "recorded 2016").encode()
    was, now = read(data), read(newer)
    changed = between(Asked().sees(was), Asked().sees(now))
    assert changed
    desk = Desk(asked_of(changed), {"a": data, "b": newer}, read)
    before, after = desk.sight("a"), desk.sight("b")
    assert isinstance(before, dict)
    assert isinstance(after, dict)
    for key, pair in changed.items():
        assert (before.get(key), after.get(key)) == pair
