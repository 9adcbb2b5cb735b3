"""Drafts of dumps that nobody wrote: they load, they read every line, and what is settled is true."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cfgaudit.dialect.codec.bits import nameless
from cfgaudit.dialect.draft.draft import draft
from cfgaudit.model.value import Value
from tests.dialect.draft.drafted import leaves, read, told, typed
from tests.dialect.draft.invented import invented
from tests.dialect.teach.firmware import firmware, sheet_of
from tests.dump.texts import ANYTHING

SEEDS = st.integers(0, 10**9)


@settings(max_examples=120, deadline=None)
@given(SEEDS)
@example(5271)
@example(6455)
def test_what_is_settled_is_true(seed: int) -> None:
    one = invented(seed)
    made = draft(typed(one.dump), told(one.sheet))
    reading = read(made, typed(one.dump))
    given_leaves = leaves(reading.model)
    wrong = {path: value for path, value in given_leaves.items() if one.true.get(path) != value}
    assert not wrong, one.dump
    assert not reading.unknown
    assert not reading.doubts


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_without_a_sheet_what_is_settled_is_true(seed: int) -> None:
    one = invented(seed)
    dump = typed(one.dump)
    reading = read(draft(dump), dump)
    assert not reading.unknown
    for path, value in leaves(reading.model).items():
        assert one.true[path] == value


@pytest.mark.parametrize("first", range(0, 60, 30))
def test_what_is_settled_is_true_in_other_dumps(first: int) -> None:
    """What names a row need not stand first, and no other column is taken for it."""
    solved = 0
    for seed in range(first, first + 30):
        dice = Random(seed)
        made = firmware(dice, numbered=True)
        now = made.settings(dice, plain=True)
        one = draft(made.text(now, "0.txt"), sheet_of(made, now))
        solved += any(guess.path.endswith(".functions") for guess in one.guesses)
        for n in range(3):
            true = made.settings(dice)
            leaves = read(one, made.text(true, f"{n}.txt")).model.leaves
            for path, leaf in leaves.items():
                if path in true and not _strange(leaf.value):
                    assert _same(leaf.value, true[path]), (seed, path)
    assert solved > 10


def _strange(value: Value) -> bool:
    """Whether a value holds jobs that are only known by their bits."""
    return isinstance(value, tuple) and any(map(nameless, value))


def _same(one: Value, other: Value) -> bool:
    return set(one) == set(other) if isinstance(one, tuple) and isinstance(other, tuple) else one == other


def test_most_ports_and_outputs_are_settled() -> None:
    count = 100
    solved = {"ports": 0, "outputs": 0}
    for seed in range(count):
        one = invented(seed)
        paths = {guess.path.split(".")[0] for guess in draft(typed(one.dump), told(one.sheet)).guesses}
        for part in solved:
            solved[part] += part in paths
    assert solved["ports"] > 60, solved
    assert solved["outputs"] > 90, solved


_WORDS = ["a", "b{", "}", "u1", "u2", "0x4", "12", "=", ":=", "[x 1]", '"q', '"q r"', "#"]
_LINE = st.one_of(
    st.text(st.characters(blacklist_categories=["Cs"]), max_size=30),
    st.lists(st.sampled_from(_WORDS), max_size=7).map(" ".join),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(_LINE, max_size=30).map("\n".join) | ANYTHING)
@example("[x]\na = 1\n[x y]\na = 1\n[ [ 1]\na = 2\n")
@example("{a} b\n{a} c\n")
@example("a{ 1\nb} 2\n")
@example("pid1 = 2\npid2 = 3\npidx = 4\npid1x = 4\npid2x = 3\n")
@example('name "open\n')
@example("# 4.1.2\n")
@example("# {odd} 4.1.2 {firmware.version}\nx 1\n")
@example("A\nA=")
@example("0\x0c")
@example("")
def test_a_draft_of_anything_loads_and_reads_it(text: str) -> None:
    dump = typed(text)
    made = draft(dump)
    reading = read(made, dump)
    known = [one.shown for one in reading.unknown if one.line not in made.sketch.astray]
    assert not known, made.text
    assert reading.dump.text == text
