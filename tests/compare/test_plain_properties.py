"""What holds for any text that no dialect knows."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from tests.compare.plain_texts import TRADES, Trade, compared, told

WORD = st.text("abcxyz_", min_size=1, max_size=4)
VALUE = st.integers(0, 99).map(str)
SHAPES = ("{key} = {value}", "{key} {value}", "set {key} {value} on", "set pair {key} {value}")
SHAPE = st.sampled_from(SHAPES)
SETTINGS = st.dictionaries(WORD, VALUE, min_size=3, max_size=12)
SECTIONED = st.dictionaries(WORD, SETTINGS, min_size=1, max_size=4)
SEEDS = st.integers(0, 999)
# Where order within the whole text says nothing.
FLAT = [trade for trade in TRADES if "[" not in trade.before and "\n  " not in trade.before]
ANY_TEXT = st.text(st.sampled_from('ab1 =:,"#;~[]\t\n\r!'), max_size=60).map(lambda text: f"z 1\n{text}")


def written(shape: str, settings: dict[str, str]) -> list[str]:
    return [shape.format(key=key, value=value) for key, value in settings.items()]


def shuffled(lines: list[str], seed: int) -> str:
    return "\n".join(random.Random(seed).sample(lines, len(lines)))


@given(SHAPE, SETTINGS, SEEDS)
def test_order_says_nothing(shape: str, settings: dict[str, str], seed: int) -> None:
    lines = written(shape, settings)
    assert told("\n".join(lines), shuffled(lines, seed)) == []


@given(SECTIONED, SEEDS)
def test_order_of_and_within_sections_says_nothing(parts: dict[str, dict[str, str]], seed: int) -> None:
    def text(chance: int | None) -> str:
        bodies = []
        for name, settings in parts.items():
            lines = written("{key} = {value}", settings)
            body = "\n".join(lines) if chance is None else shuffled(lines, chance)
            bodies.append(f"[{name}]\n{body}")
        return "\n".join(bodies) if chance is None else shuffled(bodies, chance)

    assert told(text(None), text(seed)) == []


@given(SECTIONED, SEEDS)
def test_order_within_an_outline_says_nothing(parts: dict[str, dict[str, str]], seed: int) -> None:
    plain = [f"gate {name} on\n  " + "\n  ".join(written("{key} {value}", of)) for name, of in parts.items()]
    mixed = [
        f"gate {name} on\n  " + "\n  ".join(shuffled(written("{key} {value}", of), seed).split("\n"))
        for name, of in parts.items()
    ]
    assert told("\n".join(plain), shuffled(mixed, seed)) == []


@given(st.sampled_from(FLAT), SEEDS)
def test_the_texts_of_trades_in_any_order(trade: Trade, seed: int) -> None:
    assert told(trade.before, shuffled(trade.before.splitlines(), seed)) == []


@given(SHAPE, SETTINGS, SEEDS, VALUE)
def test_a_changed_value_is_one_change(shape: str, settings: dict[str, str], seed: int, value: str) -> None:
    key = random.Random(seed).choice(sorted(settings))
    other = {**settings, key: f"{value}0"}
    found = told("\n".join(written(shape, settings)), shuffled(written(shape, other), seed))
    if other == settings:
        assert found == []
    else:
        ((subject, text, was, now),) = found
        assert key in subject.split()
        assert " → " in text
        assert len(was) == len(now) == 1


@given(st.sampled_from(SHAPES[:3]), SETTINGS, SEEDS)
def test_a_renamed_key_is_gone_and_appeared(shape: str, settings: dict[str, str], seed: int) -> None:
    key = random.Random(seed).choice(sorted(settings))
    other = {"renamed" if name == key else name: value for name, value in settings.items()}
    found = told("\n".join(written(shape, settings)), shuffled(written(shape, other), seed))
    assert sorted((text.split(":")[0], bool(was), bool(now)) for _, text, was, now in found) == [
        ("appeared", False, True),
        ("gone", True, False),
    ]


@given(ANY_TEXT, ANY_TEXT)
def test_any_two_texts(one: str, other: str) -> None:
    assert compared(one, one).same
    there, back = told(one, other), told(other, one)
    assert sorted((subject, was, now) for subject, _, was, now in there) == sorted(
        (subject, now, was) for subject, _, was, now in back
    )
    mirrored = {"gone": "appeared", "appeared": "gone"}
    for _, text, was, now in there:
        assert bool(was and now) == (text.split(":")[0].split(" ")[0] not in mirrored or " → " in text)
