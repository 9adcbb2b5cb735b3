"""Who differs from most of its kind: laws that hold for any fleet."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.compare.fleet.configuration import Configuration, Hidden, Kind
from cfgaudit.compare.fleet.majority import Kinds, KindTold, NotSaid, Told
from cfgaudit.model.path import Path

KIND = Kind("plover", "Reed-405", "quad-x")
POLES, IDLE, JOBS = ("motors", "poles"), ("motors", "idle_percent"), ("ports", "UART1", "functions")

settings = st.dictionaries(
    st.sampled_from([POLES, IDLE, ("screen.frames",), ("receiver", "bind")]),
    st.one_of(
        st.integers(0, 2), st.booleans(), st.just(1.0), st.sampled_from(["a", "b"]).map(Hidden), st.just("1")
    ),
)
crafts = st.builds(
    Configuration,
    st.sampled_from([KIND, Kind("dunlin", "Sedge-743", ""), Kind("plover", "", "quad-x")]),
    st.sampled_from(["4.1", "4.2"]),
    st.booleans(),
    settings.map(lambda one: tuple(one.items())),
)
fleets = st.lists(crafts, max_size=9).map(lambda some: {f"craft-{n}": one for n, one in enumerate(some)})


def told(fleet: dict[str, Configuration]) -> tuple[KindTold, ...]:
    kinds = Kinds()
    for name, one in fleet.items():
        kinds.add(name, one)
    return kinds.told()


def of(values: dict[Path, Told], version: str = "4.1", complete: bool = True) -> Configuration:
    return Configuration(KIND, version, complete, tuple(values.items()))  # type: ignore[arg-type]


def in_any_order(kinds: tuple[KindTold, ...]) -> object:
    """What is said, whatever comes first."""
    return {
        kind.kind: (
            frozenset(kind.craft),
            {
                one.path: (
                    _alike(one.usual),
                    one.have,
                    frozenset((_alike(other.value), frozenset(other.craft)) for other in one.others),
                )
                for one in kind.odd
            },
        )
        for kind in kinds
    }


def _alike(value: Told) -> object:
    return "yes or no", value if isinstance(value, bool) else repr(1 if value == 1 else value)


@given(fleets, st.randoms())
def test_the_order_of_the_craft_says_nothing(fleet: dict[str, Configuration], dice: object) -> None:
    shuffled = list(fleet.items())
    dice.shuffle(shuffled)  # type: ignore[attr-defined]
    assert in_any_order(told(fleet)) == in_any_order(told(dict(shuffled)))


@given(crafts, st.integers(1, 9))
def test_craft_that_are_equal_differ_in_nothing(one: Configuration, number: int) -> None:
    (kind,) = told({f"craft-{n}": one for n in range(number)})
    assert kind.odd == ()
    assert kind.compared == (number >= 3 and bool(one.kind.board))


@given(crafts, st.lists(crafts, max_size=3))
def test_a_craft_that_is_as_most_are_is_never_listed(
    usual: Configuration, others: list[Configuration]
) -> None:
    """Four alike among seven at most: each of their settings is the usual one."""
    fleet = {f"usual-{n}": usual for n in range(4)} | {f"other-{n}": one for n, one in enumerate(others)}
    listed = {name for kind in told(fleet) for odd in kind.odd for one in odd.others for name in one.craft}
    assert not {name for name in listed if name.startswith("usual") and not _silent_there(usual, others)}


def _silent_there(usual: Configuration, others: list[Configuration]) -> bool:
    """Whether another one says what the usual one does not: then they say nothing, and it is no majority."""
    said = {path for path, _ in usual.values}
    return any(path not in said for one in others for path, _ in one.values)


@given(fleets)
def test_what_is_usual_is_what_more_than_half_have(fleet: dict[str, Configuration]) -> None:
    for kind in told(fleet):
        for odd in kind.odd:
            assert 2 * odd.have > len(kind.craft)
            names = Counter(name for other in odd.others for name in other.craft)
            assert max(names.values()) == 1
            assert odd.have + len(names) <= len(kind.craft)
            assert len(kind.craft) >= 3


def test_where_no_value_has_a_majority_nobody_differs() -> None:
    """Trims and calibrations: each craft has its own."""
    assert told({f"craft-{n}": of({("sense.trim",): str(n)}) for n in range(5)})[0].odd == ()
    halves = {f"craft-{n}": of({POLES: 12 if n % 2 else 14}) for n in range(4)}
    assert told(halves)[0].odd == ()


def test_one_of_three() -> None:
    (kind,) = told({"a": of({POLES: 14}), "b": of({POLES: 12}), "c": of({POLES: 14.0})})
    (odd,) = kind.odd
    assert (odd.usual, odd.have, odd.others[0].craft) == (14, 2, ("b",))


def test_two_are_no_majority() -> None:
    (kind,) = told({"a": of({POLES: 14}), "b": of({POLES: 12})})
    assert not kind.compared
    assert kind.odd == ()


def test_jobs_are_a_set_and_yes_is_not_one() -> None:
    fleet = {"a": of({JOBS: ("gnss", "msp")}), "b": of({JOBS: ("msp", "gnss")}), "c": of({JOBS: ("msp",)})}
    assert [one.others[0].craft for one in told(fleet)[0].odd] == [("c",)]
    fleet = {"a": of({IDLE: 1}), "b": of({IDLE: 1}), "c": of({IDLE: True})}
    assert [one.others[0].craft for one in told(fleet)[0].odd] == [("c",)]


def test_silence_counts_where_the_version_has_the_setting_and_the_dump_is_whole() -> None:
    usual = {"a": of({POLES: 14, IDLE: 5}), "b": of({POLES: 14, IDLE: 5})}
    (odd,) = told({**usual, "c": of({POLES: 14})})[0].odd
    assert odd.others[0].value == NotSaid()
    assert told({**usual, "c": of({POLES: 14}, complete=False)})[0].odd == ()
    assert told({**usual, "c": of({POLES: 14}, version="4.0")})[0].odd == ()


def test_a_row_more_than_most_have_is_told() -> None:
    without = of({POLES: 14})
    (odd,) = told({"a": without, "b": without, "c": of({POLES: 14, ("modes", "arm", "1", "from"): 1700})})[
        0
    ].odd
    assert (odd.usual, odd.others[0].craft) == (NotSaid(), ("c",))


def test_the_weightiest_come_first() -> None:
    usual = of({("screen.frames",): "10", POLES: 14})
    odd = told({"a": usual, "b": usual, "c": of({("screen.frames",): "12", POLES: 12})})[0].odd
    assert [one.path for one in odd] == [POLES, ("screen.frames",)]


def test_private_values_are_told_apart_and_not_kept() -> None:
    usual = of({("receiver", "bind"): Hidden("a")})
    (odd,) = told({"a": usual, "b": usual, "c": of({("receiver", "bind"): Hidden("b")})})[0].odd
    assert odd.private
