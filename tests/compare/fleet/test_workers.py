"""Jobs done by other processes: in order, few at a time, and whatever becomes of a worker."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor

import pytest

from cfgaudit.compare.fleet import workers
from cfgaudit.compare.fleet.workers import Crew
from tests.compare.fleet.labour import doubled, fell, late


def processes() -> Executor:
    return ProcessPoolExecutor(2, multiprocessing.get_context("spawn"))


def threads() -> Executor:
    return ThreadPoolExecutor(3)


def dismissed(executor: Executor) -> None:
    executor.shutdown(wait=False, cancel_futures=True)


def test_outcomes_come_in_the_order_of_the_jobs() -> None:
    crew = Crew(doubled, threads, dismissed, fell)
    assert [*crew.in_order(range(12), 5)] == [str(2 * n) for n in range(12)]


def test_nothing_to_do() -> None:
    assert [*Crew(doubled, threads, dismissed, fell).in_order([], 5)] == []


def test_jobs_are_made_when_their_turn_comes() -> None:
    made = []

    def jobs() -> Iterator[int]:
        for n in range(100):
            made.append(n)
            yield n

    outcomes = Crew(doubled, threads, dismissed, fell).in_order(jobs(), 4)
    for n in range(10):
        next(outcomes)
        assert len(made) <= n + 4
    outcomes.close()  # type: ignore[attr-defined]
    assert len(made) < 20


def test_work_that_fails_is_one_outcome() -> None:
    said = [*Crew(doubled, threads, dismissed, fell).in_order([16, 17, 18], 3)]
    assert said == ["32", "17 fell: ValueError", "36"]


def test_a_worker_that_dies_is_one_outcome_and_the_others_are_done() -> None:
    hired = []

    def hire() -> Executor:
        hired.append(processes())
        return hired[-1]

    said = [*Crew(doubled, hire, dismissed, fell).in_order([11, 12, 13, 14, 15, 16, 1, 2, 3], 4)]
    assert said == ["22", "24", "13 fell: BrokenProcessPool", "28", "30", "32", "2", "4", "6"]
    assert len(hired) >= 3


@pytest.mark.parametrize("jobs", [[13], [13, 13]])
def test_all_of_them_die(jobs: list[int]) -> None:
    said = [*Crew(doubled, processes, dismissed, fell).in_order(jobs, 4)]
    assert said == ["13 fell: BrokenProcessPool"] * len(jobs)


class Absent(Executor):
    """Takes everything, and nothing comes of it."""

    def submit(self, fn: object, /, *args: object, **kwargs: object) -> Future[str]:  # type: ignore[override]
        return Future()


def test_workers_that_are_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was sent to them, and all that is left, ends; nobody waits for good."""
    monkeypatch.setattr(workers, "LOOK", 0.01)
    answers = iter([True, True] + [False] * 9)
    crew = Crew(doubled, Absent, dismissed, fell, lambda: next(answers))
    assert [*crew.in_order(range(5), 2)] == [f"{n} fell: the workers are gone" for n in range(5)]


def test_work_that_ran_out_of_time_is_its_own_fault() -> None:
    assert [*Crew(late, threads, dismissed, fell).in_order([1], 2)] == ["1 fell: TimeoutError"]


def test_who_stops_in_the_middle_lets_the_workers_go() -> None:
    gone: list[Executor] = []

    def dismiss(executor: Executor) -> None:
        gone.append(executor)
        dismissed(executor)

    outcomes = Crew(doubled, threads, dismiss, fell).in_order(range(50), 4)
    next(outcomes)
    outcomes.close()  # type: ignore[attr-defined]
    assert len(gone) == 1
