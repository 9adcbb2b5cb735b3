"""Solving: can everything run at once, each output on a timer and each request on a DMA channel?

Exact: a timer runs at one rate, so it serves outputs of one kind; a timer's channel serves one
output; a DMA channel serves one request. Motors' outputs of one timer may be fed one by one (the
requests of its channels) or all at once (the timer's update request). The search places one task
after the other and keeps a matching of requests and DMA channels, which it mends by augmenting
paths (Kuhn, Naval Research Logistics 2, 1955, pages 83 to 97; Berge, PNAS 43, 1957, page 842).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from msgspec import Struct

from cfgaudit.derive.mcu.chip import Lane

STEPS_MOST = 200_000  # of one search; a craft's takes a few hundred at the most
TRIES_MOST = 5_000  # searches for a smaller clash


class Task(Struct, frozen=True):
    """Something that runs all the time.

    An output has ``lanes``, any of which will do, and a ``kind``: outputs of one kind run at one rate.
    Other traffic has a ``request`` of its own. ``by_dma``: an output that is fed by DMA. ``only``:
    the DMA channel that the settings name for it, or "".
    """

    name: str
    kind: str = ""
    lanes: tuple[Lane, ...] = ()
    request: str = ""
    by_dma: bool = True
    only: str = ""


class Place(Struct, frozen=True):
    """Where a task runs: its timer's channel, its request, the DMA channel. "" and None: it needs none."""

    task: str
    lane: Lane | None
    request: str
    channel: str


class Clash(Struct, frozen=True):
    """Tasks that cannot all run at once. ``least``: no smaller set of all the tasks clashes."""

    tasks: tuple[str, ...]
    least: bool


class Undecided(Struct, frozen=True):
    """The search was given up: more choices than any craft has."""


Channels = Mapping[str, tuple[str, ...]]
Answer = tuple[Place, ...] | Clash | Undecided


def solve(tasks: Sequence[Task], channels: Channels) -> Answer:
    """An assignment for all tasks, in their order, or the smallest set that clashes."""
    found = _assigned(tasks, channels)
    if isinstance(found, Clash):
        return _smallest(tasks, channels)
    return found


class _State(Struct):
    """What the search has placed so far."""

    kinds: dict[str, str]  # timer → the kind of outputs that it serves
    lanes: dict[tuple[str, int], str]  # timer's channel → task
    whole: dict[str, bool]  # timer → whether its update request feeds all motors on it
    demands: dict[str, tuple[str, ...]]  # request → the DMA channels that may serve it
    matched: dict[str, str]  # DMA channel → request
    placed: dict[str, tuple[Lane | None, str]]  # task → lane and request

    def copy(self) -> _State:
        """The same, to place more upon."""
        return _State(
            dict(self.kinds),
            dict(self.lanes),
            dict(self.whole),
            dict(self.demands),
            dict(self.matched),
            dict(self.placed),
        )


def _assigned(tasks: Sequence[Task], channels: Channels) -> Answer:
    # the fewest choices first: what has none refutes the most
    order = sorted(tasks, key=lambda one: (len(one.lanes), one.name))
    stack = [(0, _State({}, {}, {}, {}, {}, {}))]
    steps = 0
    while stack:
        n, state = stack.pop()
        if n == len(order):
            served = {request: channel for channel, request in state.matched.items()}
            return tuple(
                Place(one.name, lane, request, served.get(request, ""))
                for one in tasks
                for lane, request in (state.placed[one.name],)
            )
        steps += 1
        if steps > STEPS_MOST:
            return Undecided()
        stack += [(n + 1, after) for after in reversed([*_placed(order[n], state, channels)])]
    return Clash(tuple(one.name for one in tasks), least=False)


def _placed(task: Task, state: _State, channels: Channels) -> Iterator[_State]:
    """Every way in which one more task can be placed."""
    if task.request:
        if after := _demanded(task, task.request, state, channels):
            after.placed[task.name] = (None, task.request)
            yield after
        return
    for lane in task.lanes:
        at = lane.timer, lane.channel
        if at in state.lanes or state.kinds.get(lane.timer, task.kind) != task.kind:
            continue
        for whole in _ways(task, lane, state, channels):
            request = "" if not task.by_dma else lane.update if whole else lane.request
            after = _demanded(task, request, state, channels) if request else state.copy()
            if after:
                after.kinds[lane.timer], after.lanes[at] = task.kind, task.name
                if task.by_dma:
                    after.whole[lane.timer] = whole
                after.placed[task.name] = (lane, request)
                yield after


def _ways(task: Task, lane: Lane, state: _State, channels: Channels) -> tuple[bool, ...]:
    """Whether the whole timer is fed at once: as it is already, or both ways."""
    if not task.by_dma:
        return (False,)
    if lane.timer in state.whole:
        return (state.whole[lane.timer],)
    return (False, True) if lane.update in channels else (False,)


def _demanded(task: Task, request: str, state: _State, channels: Channels) -> _State | None:
    """The state with a request served, or None if no DMA channel can be had for it."""
    able = channels.get(request, ())
    able = tuple(one for one in able if one == task.only) if task.only else able
    after = state.copy()
    if request in state.demands:
        able = tuple(one for one in state.demands[request] if one in able)
        after.demands[request] = able
        holder = next(channel for channel, held in after.matched.items() if held == request)
        if holder in able:
            return after
        del after.matched[holder]
    after.demands[request] = able
    return after if _augmented(request, after, set()) else None


def _augmented(request: str, state: _State, seen: set[str]) -> bool:
    """Serve a request, and move others to other DMA channels where that helps."""
    for channel in state.demands[request]:
        if channel in seen:
            continue
        seen.add(channel)
        holder = state.matched.get(channel)
        if holder is None or _augmented(holder, state, seen):
            state.matched[channel] = request
            return True
    return False


# What clashes


def _smallest(tasks: Sequence[Task], channels: Channels) -> Clash:
    """The fewest tasks that cannot run together."""
    clashes = [
        _smallest_near(near, channels)
        for near in _apart(tasks, channels)
        if isinstance(_assigned(near, channels), Clash)
    ]
    return min(clashes, key=lambda one: (len(one.tasks), not one.least))


def _smallest_near(tasks: Sequence[Task], channels: Channels) -> Clash:
    """The fewest of tasks that all compete with each other, directly or through others."""
    core = _irreducible(tasks, channels)
    tries = 0
    for count in range(_fewest(tasks, channels), len(core)):
        for some in combinations(tasks, count):
            tries += 1
            if tries > TRIES_MOST:
                return Clash(tuple(one.name for one in core), least=False)
            if isinstance(_assigned(some, channels), Clash):
                return Clash(tuple(one.name for one in some), least=True)
    return Clash(tuple(one.name for one in core), least=True)


def _irreducible(tasks: Sequence[Task], channels: Channels) -> list[Task]:
    """A set of which none can be left out."""
    kept = list(tasks)
    for one in tasks:
        fewer = [other for other in kept if other is not one]
        if fewer and isinstance(_assigned(fewer, channels), Clash):
            kept = fewer
    return kept


def _reach(task: Task, channels: Channels) -> set[str]:
    """The timers and DMA channels that a task may take."""
    requests = {task.request} if task.request else {
        name for lane in task.lanes if task.by_dma for name in (lane.request, lane.update)
    }  # fmt: skip
    return {lane.timer for lane in task.lanes} | {
        channel for request in requests for channel in channels.get(request, ())
    }


def _apart(tasks: Sequence[Task], channels: Channels) -> Iterator[list[Task]]:
    """The tasks by what they compete for: those of one group share nothing with another's."""
    left = {one.name: _reach(one, channels) for one in tasks}
    while left:
        near = {next(iter(left))}
        taken = set().union(*(left[name] for name in near))
        while more := {name for name, some in left.items() if name not in near and some & taken}:
            near |= more
            taken |= set().union(*(left[name] for name in more))
        yield [one for one in tasks if one.name in near]
        left = {name: some for name, some in left.items() if name not in near}


def _fewest(tasks: Sequence[Task], channels: Channels) -> int:
    """A number of tasks below which none clash: more requests than the least choice of channels.

    By Hall's theorem (Journal of the London Mathematical Society s1-10, 1935, page 26) requests that
    cannot all be served are more than the channels that any of them may have. Where timers alone
    clash, or a task runs nowhere, one task or two may be enough.
    """
    alone = [
        Task(one.name, one.kind, tuple(lane for lane in one.lanes if _fed(one, lane, channels)))
        for one in tasks
        if not one.request
    ]
    lacking = any(one.request and one.request not in channels for one in tasks)
    if lacking or any(one.only for one in tasks) or isinstance(_assigned(_undemanding(alone), {}), Clash):
        return 1
    requests = {one.request for one in tasks if one.request}
    requests |= {name for one in tasks for lane in one.lanes for name in (lane.request, lane.update)}
    return min((len(channels.get(name, ())) for name in requests if name in channels), default=0) + 1


def _fed(task: Task, lane: Lane, channels: Channels) -> bool:
    """Whether a DMA channel can feed a task on a timer's channel at all."""
    return not task.by_dma or lane.request in channels or lane.update in channels


def _undemanding(tasks: Sequence[Task]) -> list[Task]:
    """The tasks without their DMA: what is left are the timers."""
    return [Task(one.name, one.kind, one.lanes, by_dma=False) for one in tasks]
