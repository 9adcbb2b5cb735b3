"""Timers and DMA against the vendor's tables, and the solver against reference libraries.

Sources: ST RM0090 rev 18, tables 42 and 43 (DMA requests of the F405). Matchings: networkx
(Hopcroft and Karp, SIAM Journal on Computing 2, 1973) and scipy, on instances drawn at random; the
choices of timers and of update requests against trying out all of them. Which alternate function
leads to which timer: ST data sheet DS8626 (F405), table 9, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations, product
from random import Random

import networkx
import numpy
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from cfgaudit.derive.mcu.chip import Chip, Lane, lane
from cfgaudit.derive.mcu.library import chip
from cfgaudit.derive.mcu.solve import Clash, Place, Task, solve
from tests.published.rows import rows

TABLE = rows("stm32f405_dma_requests")


def f405() -> Chip:
    made = chip("STM32F405RGT6")
    assert made
    return made


def ours(request: str) -> str:
    """A request as the manual writes it, in this project's words: a USART is a UART."""
    return request.replace("USART", "UART")


def printed(request: str) -> set[str]:
    """The streams that the manual prints for a request."""
    same = (row for row in TABLE if ours(row["request"]) == request and row["f42x43x_only"] == "0")
    return {f"{row['dma']}/{row['stream']}" for row in same}


# The vendor's tables


@pytest.mark.parametrize("request_", sorted({ours(r["request"]) for r in TABLE if r["in_modm"] == "1"}))
def test_every_request_has_the_streams_of_the_manual(request_: str) -> None:
    channels = f405().channels
    assert channels
    assert set(channels[request_]) == printed(request_)


def test_the_cards_bus_has_one_request_for_both_directions() -> None:
    assert set((f405().channels or {})["SDIO_TX"]) == printed("SDIO")


def test_timers_and_ports_have_no_request_that_the_manual_lacks() -> None:
    channels = f405().channels or {}
    known = {ours(row["request"]) for row in TABLE}
    assert {one for one in channels if one.startswith(("TIM", "UART"))} - known == set()
    assert sum(1 for row in TABLE if row["request"].startswith(("TIM", "UART", "USART"))) >= 67


@pytest.mark.parametrize(
    ("pin", "timer", "alternate"),
    [
        ("PA0", "TIM2_CH1", 1), ("PA8", "TIM1_CH1", 1), ("PB0", "TIM3_CH3", 2), ("PB1", "TIM3_CH4", 2),
        ("PB6", "TIM4_CH1", 2), ("PB14", "TIM12_CH1", 9), ("PC6", "TIM8_CH1", 3), ("PA1", "TIM5_CH2", 2),
    ],
)  # fmt: skip
def test_alternate_functions(pin: str, timer: str, alternate: int) -> None:
    """From memory."""
    lanes = {one.name: one.alternate for one in (f405().pins or {})[pin]}
    assert lanes[timer] == alternate


# Cases that the tables decide


def on(name: str, *lanes: str, kind: str = "motor", only: str = "") -> Task:
    return Task(name, kind, tuple(made for one in lanes if (made := lane(one))), only=only)


def moving(request: str) -> Task:
    return Task(request, request=request)


def without_updates(channels: Mapping[str, tuple[str, ...]] | None) -> dict[str, tuple[str, ...]]:
    return {name: some for name, some in (channels or {}).items() if not name.endswith("_UP")}


@pytest.mark.parametrize(("one", "other"), [("UART4_RX", "TIM3_CH4"), ("UART1_TX", "TIM8_CH4")])
def test_two_that_have_one_stream_and_no_other_clash(one: str, other: str) -> None:
    channels = without_updates(f405().channels)
    assert channels[one] == channels[other]
    assert len(channels[one]) == 1
    tasks = [moving(one), on("motor", other), moving("UART6_TX"), on("another", "TIM2_CH1")]
    assert solve(tasks, channels) == Clash((one, "motor"), least=True)


def test_a_stream_is_left_to_whoever_has_no_other() -> None:
    channels = f405().channels or {}
    assert set(channels["UART1_RX"]) == {"2/2", "2/5"}
    assert channels["TIM1_UP"] == ("2/5",)
    found = served(solve([moving("UART1_RX"), moving("TIM1_UP")], channels))
    assert found == {"UART1_RX": "2/2", "TIM1_UP": "2/5"}


def test_a_channel_without_a_request_runs_by_its_timers_update() -> None:
    channels = f405().channels or {}
    assert "TIM4_CH4" not in channels
    assert served(solve([on("motor", "TIM4_CH4")], channels)) == {"motor": "1/6"}
    assert solve([on("motor", "TIM4_CH4")], without_updates(channels)) == Clash(("motor",), least=True)


def test_the_update_request_gives_way_where_a_channels_own_is_taken() -> None:
    channels = f405().channels or {}
    found = served(solve([moving("UART1_TX"), on("motor", "TIM8_CH4")], channels))
    assert found == {"UART1_TX": "2/7", "motor": "2/1"}


def test_a_switch_before_the_controller_serves_any_request_up_to_its_number() -> None:
    made = chip("STM32G474RET6")
    assert made
    channels = made.channels or {}
    requests = [one for one in channels if one.startswith(("SPI", "UART", "I2C"))]
    width = len(channels["UART1_RX"])
    assert width == 16  # RM0440 rev 4, section 12.3: two controllers of eight channels
    assert isinstance(solve([moving(one) for one in requests[:width]], channels), tuple)
    clash = solve([moving(one) for one in requests[: width + 1]], channels)
    assert clash == Clash(tuple(requests[: width + 1]), least=True)


# Reference libraries


def served(answer: object) -> dict[str, str]:
    assert isinstance(answer, tuple), answer
    return {one.task: one.channel for one in answer}


def drawn(dice: Random, requests: int, width: int) -> dict[str, tuple[str, ...]]:
    names = [f"1/{n}" for n in range(width)]
    return {f"SPI{n}_RX": tuple(dice.sample(names, dice.randint(1, 3))) for n in range(requests)}


@pytest.mark.parametrize("seed", range(150))
def test_matchings_are_there_when_networkx_and_scipy_say_so(seed: int) -> None:
    dice = Random(seed)
    channels = drawn(dice, dice.randint(2, 10), dice.randint(3, 9))
    graph = networkx.Graph((request, channel) for request, some in channels.items() for channel in some)
    best = networkx.bipartite.hopcroft_karp_matching(graph, top_nodes=channels.keys())
    whole = sum(1 for one in best if one in channels) == len(channels)
    columns = sorted({channel for some in channels.values() for channel in some})
    table = numpy.array([[column in some for column in columns] for some in channels.values()])
    assert whole == bool((maximum_bipartite_matching(csr_matrix(table), perm_type="column") >= 0).all())
    answer = solve([moving(one) for one in channels], channels)
    assert isinstance(answer, tuple) is whole
    if isinstance(answer, tuple):
        hold(answer, [moving(one) for one in channels], channels)
    else:
        assert isinstance(answer, Clash)
        assert answer.least
        assert len(answer.tasks) == min(map(len, violators(channels)))


def violators(channels: Mapping[str, tuple[str, ...]]) -> Iterator[tuple[str, ...]]:
    """The sets of requests that have fewer channels than they are (Hall, 1935)."""
    for count in range(1, len(channels) + 1):
        for some in combinations(channels, count):
            if len({channel for one in some for channel in channels[one]}) < count:
                yield some


# Timers and update requests, against trying out everything


def hold(answer: Iterable[Place], tasks: Sequence[Task], channels: Mapping[str, tuple[str, ...]]) -> None:
    """An answer is one: every rule of the chip holds."""
    places = {one.task: one for one in answer}
    by_name = {one.name: one for one in tasks}
    assert places.keys() == by_name.keys()
    kinds: dict[str, str] = {}
    lanes: set[tuple[str, int]] = set()
    holders: dict[str, str] = {}
    for name, place in places.items():
        task = by_name[name]
        if task.request:
            assert place.request == task.request
        else:
            assert place.lane in task.lanes
            assert kinds.setdefault(place.lane.timer, task.kind) == task.kind
            assert (place.lane.timer, place.lane.channel) not in lanes
            lanes.add((place.lane.timer, place.lane.channel))
            assert place.request in ((place.lane.request, place.lane.update) if task.by_dma else ("",))
        if place.request:
            assert place.channel in channels[place.request]
            assert task.only in ("", place.channel)
            assert holders.setdefault(place.channel, place.request) == place.request


def possible(tasks: Sequence[Task], channels: Mapping[str, tuple[str, ...]]) -> bool:
    """Every choice of timers and of requests, each with the reference's matching."""
    timed = [one for one in tasks if not one.request]
    for lanes in product(*(one.lanes for one in timed)):
        kinds = {(lane.timer, task.kind) for lane, task in zip(lanes, timed, strict=True)}
        if len({timer for timer, _ in kinds}) != len(kinds):
            continue
        if len({(lane.timer, lane.channel) for lane in lanes}) != len(lanes):
            continue
        fed = sorted({lane.timer for lane, task in zip(lanes, timed, strict=True) if task.by_dma})
        for whole in product((False, True), repeat=len(fed)):
            ways = dict(zip(fed, whole, strict=True))
            asked = [(one.request, one.only) for one in tasks if one.request]
            asked += [
                (lane.update if ways[lane.timer] else lane.request, task.only)
                for lane, task in zip(lanes, timed, strict=True)
                if task.by_dma
            ]
            if matched(asked, channels):
                return True
    return False


def matched(asked: Iterable[tuple[str, str]], channels: Mapping[str, tuple[str, ...]]) -> bool:
    able: dict[str, set[str]] = {}
    for request, only in asked:
        some = {one for one in channels.get(request, ()) if only in ("", one)}
        able[request] = able.get(request, some) & some
    graph = networkx.Graph((request, channel) for request, some in able.items() for channel in some)
    graph.add_nodes_from(able)
    best = networkx.bipartite.hopcroft_karp_matching(graph, top_nodes=able.keys())
    return all(one in best for one in able)


def craft(dice: Random) -> tuple[list[Task], dict[str, tuple[str, ...]]]:
    """Outputs and traffic at random on a small chip."""
    timers = ("TIM1", "TIM2", "TIM3")
    names = [f"1/{n}" for n in range(dice.randint(3, 6))]
    requests = [f"{timer}_{end}" for timer in timers for end in ("CH1", "CH2", "CH3", "UP")]
    requests += ["UART1_RX", "UART1_TX", "SPI1_RX"]
    channels = {
        one: tuple(dice.sample(names, dice.randint(1, 2))) for one in requests if dice.random() < 0.85
    }
    tasks = []
    for n in range(dice.randint(1, 5)):
        kind = dice.choice(("motor", "motor", "motor", "led-strip", "servo"))
        lanes = {Lane(dice.choice(timers), dice.randint(1, 3), dice.random() < 0.2) for _ in range(2)}
        only = dice.choice(names) if dice.random() < 0.1 else ""
        tasks.append(Task(f"output {n}", kind, tuple(sorted(lanes)), by_dma=kind != "servo", only=only))
    tasks += [moving(one) for one in ("UART1_RX", "UART1_TX", "SPI1_RX") if dice.random() < 0.5]
    return tasks, channels


@pytest.mark.parametrize("seed", range(300))
def test_answers_are_those_of_trying_everything(seed: int) -> None:
    tasks, channels = craft(Random(seed))
    answer = solve(tasks, channels)
    if possible(tasks, channels):
        assert isinstance(answer, tuple)
        hold(answer, tasks, channels)
        return
    assert isinstance(answer, Clash)
    assert answer.least
    by_name = {one.name: one for one in tasks}
    assert not possible([by_name[name] for name in answer.tasks], channels)
    for count in range(1, len(answer.tasks)):
        assert all(possible(some, channels) for some in combinations(tasks, count))
