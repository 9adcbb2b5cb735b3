"""Jobs done by several processes, their outcomes in the order of the jobs.

Only a few jobs are sent ahead, so that memory stays the same however many there are.
"""

from __future__ import annotations

import signal
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import contextmanager
from typing import Generic, TypeVar

from msgspec import Struct

Given = TypeVar("Given")
Made = TypeVar("Made")


LOOK = 1.0  # seconds after which somebody looks whether the workers are still there


class Gone(Exception):
    """The workers are gone, and nobody can hire others."""


class Sent(Struct, Generic[Given, Made], frozen=True):
    """A job, and what will come of it."""

    job: Given
    future: Future[Made]


class Crew(Generic[Given, Made]):
    """Workers that are hired when they are needed and let go at the end, or at once.

    ``hire`` gives an executor; ``dismiss`` ends one without waiting for what it does. ``fell`` makes an
    outcome of a job whose worker ended, and of the reason in a few words. ``there`` is asked while an
    outcome is awaited: when it says no, nothing more will come.
    """

    def __init__(
        self,
        work: Callable[[Given], Made],
        hire: Callable[[], Executor],
        dismiss: Callable[[Executor], None],
        fell: Callable[[Given, str], Made],
        there: Callable[[], bool] = lambda: True,
    ) -> None:
        self._work = work
        self._hire = hire
        self._dismiss = dismiss
        self._fell = fell
        self._there = there
        self._gone = False
        self._executor = hire()

    def in_order(self, jobs: Iterable[Given], ahead: int) -> Iterator[Made]:
        """Do the jobs, at most ``ahead`` of them at a time; whatever ends this ends the workers."""
        source = iter(jobs)
        sent: deque[Sent[Given, Made]] = deque()
        finished = False
        try:
            while True:
                while len(sent) < ahead and (further := next(source, sent)) is not sent:
                    sent.append(self._send(further))  # type: ignore[arg-type]  # the sentinel is excluded
                if not sent:
                    break
                yield from self._next(sent)
            finished = True
        finally:
            if finished:
                self._executor.shutdown()
            else:
                self._dismiss(self._executor)

    def _next(self, sent: deque[Sent[Given, Made]]) -> Iterator[Made]:
        """The outcome of the job that was sent first; if its worker ended, those of all that were sent."""
        first = sent.popleft()
        try:
            made = self._awaited(first.future)
        except BrokenExecutor:
            # Nobody says which job it was that ended its worker, and so all of them: each by itself tells.
            lost = [first, *sent]
            sent.clear()
            self._again()
            for one in lost:
                yield self._alone(one)
            return
        except Exception as fault:
            made = self._fell(first.job, _reason(fault))
        yield made

    def _alone(self, one: Sent[Given, Made]) -> Made:
        if one.future.done() and not one.future.cancelled() and one.future.exception() is None:
            return one.future.result()
        try:
            return self._awaited(self._send(one.job).future)
        except BrokenExecutor as fault:
            self._again()
            return self._fell(one.job, _reason(fault))
        except Exception as fault:
            return self._fell(one.job, _reason(fault))

    def _awaited(self, future: Future[Made]) -> Made:
        while True:
            try:
                return future.result(None if future.done() else LOOK)
            except TimeoutError:
                if future.done():  # it is the work's own
                    raise
                if not self._there():
                    self._gone = True
                    raise Gone from None

    def _send(self, job: Given) -> Sent[Given, Made]:
        if self._gone:
            future: Future[Made] = Future()
            future.set_exception(Gone())
            return Sent(job, future)
        with _undisturbed():
            try:
                return Sent(job, self._executor.submit(self._work, job))
            except BrokenExecutor as fault:
                future = Future()
                future.set_exception(fault)
                return Sent(job, future)

    def _again(self) -> None:
        self._dismiss(self._executor)
        self._executor = self._hire()


def _reason(fault: Exception) -> str:
    return "the workers are gone" if isinstance(fault, Gone) else type(fault).__name__


@contextmanager
def _undisturbed() -> Iterator[None]:
    """While workers are started an interrupt waits; they inherit that, and leave interrupts to us."""
    if not hasattr(signal, "pthread_sigmask") or threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
