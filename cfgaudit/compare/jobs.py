"""Jobs of ports: a job that moved is one change, though two ports differ."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from cfgaudit.compare.change import Change
from cfgaudit.compare.difference import Difference
from cfgaudit.compare.nested import JOBS
from cfgaudit.compare.pair import Pair, rows
from cfgaudit.model.model import Model, Unknown
from cfgaudit.model.order import by_path, natural
from cfgaudit.model.value import spoken

# A port that is not in here: nobody said what it does.
Ports = Mapping[str, frozenset[str]]


def job_changes(
    pair: Pair, differences: Sequence[Difference]
) -> tuple[tuple[Change, ...], tuple[Difference, ...]]:
    """One change a job, and the differences of ports that are not about any job."""
    tables = [one for one in differences if _is_job_table(one)]
    before, after = _ports(pair.a.model), _ports(pair.b.model)
    touched = {one.path[1]: one for one in tables}
    changes = []
    told: set[str] = set()
    for job in sorted(frozenset[str]().union(*(_moved(port, before, after) for port in touched))):
        way = _Way(job, before, after)
        ports = way.gone + way.came
        changes.append(pair.change(job, way.told, [touched[port] for port in sorted(ports, key=natural)]))
        told |= {*ports}
    silent = [one for one in differences if one.path[1:] not in {(port, JOBS) for port in told}]
    return tuple(changes), tuple(sorted(silent, key=lambda one: by_path(one.path)))


def _is_job_table(one: Difference) -> bool:
    sides = (one.before, one.after)
    return (
        len(one.path) == 3
        and one.path[2] == JOBS
        and all(isinstance(side, Unknown) or isinstance(side.value, tuple) for side in sides)
    )


def _ports(model: Model) -> Ports:
    tables = ((port, row.get(JOBS)) for port, row in rows(model, "ports").items())
    return {port: frozenset(map(str, jobs)) for port, jobs in tables if isinstance(jobs, list)}


def _moved(port: str, before: Ports, after: Ports) -> frozenset[str]:
    return before.get(port, frozenset()) ^ after.get(port, frozenset())


class _Way(Struct, frozen=True):
    """Where one job was and is."""

    job: str
    before: Ports
    after: Ports

    @property
    def gone(self) -> list[str]:
        return [port for port in self._with(self.before) if self.job not in self.after.get(port, ())]

    @property
    def came(self) -> list[str]:
        return [port for port in self._with(self.after) if self.job not in self.before.get(port, ())]

    @property
    def stayed(self) -> list[str]:
        return [port for port in self._with(self.before) if self.job in self.after.get(port, ())]

    def _with(self, ports: Ports) -> list[str]:
        return sorted((port for port, jobs in ports.items() if self.job in jobs), key=natural)

    @property
    def told(self) -> str:
        """What became of the job, for certain and as far as the dumps say."""
        left = [port for port in self.gone if port in self.after]
        taken = [port for port in self.came if port in self.before]
        clauses = [
            *self._sure(left, taken),
            *(f"was on {port}; what {port} does now is not said" for port in self.gone if port not in left),
            *(f"is on {port}; what {port} did before is not said" for port in self.came if port not in taken),
        ]
        if self.stayed:
            clauses.append(f"still on {spoken(self.stayed)}")
        return "; ".join(clauses)

    def _sure(self, left: Sequence[str], taken: Sequence[str]) -> Iterator[str]:
        where = spoken([f"{port}{self._company(port)}" for port in taken])
        if left and taken:
            yield f"moved from {spoken(left)} to {where}"
        elif taken:
            yield f"appeared on {where}"
        elif left and self.stayed:
            yield f"left {spoken(left)}"
        elif left:
            yield f"moved off {spoken(left)}"
            if not self.came:
                yield "nothing else took it"
        yield from self._staying(left)

    def _company(self, port: str) -> str:
        """The other jobs of a port that got this one, and those that made room for it."""
        beside = sorted(self.after[port] - {self.job})
        gave_way = sorted(self.before[port] - self.after[port])
        return (f", beside {spoken(beside)}" if beside else "") + (
            f", in place of {spoken(gave_way)}" if gave_way else ""
        )

    def _staying(self, left: Iterable[str]) -> Iterator[str]:
        """The other jobs of a port that lost this one."""
        for port in left:
            others = sorted((self.before[port] & self.after[port]) - {self.job})
            if others:
                yield f"{spoken(others)} {'stays' if len(others) == 1 else 'stay'} on {port}"
