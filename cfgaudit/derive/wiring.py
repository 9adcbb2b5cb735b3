"""Serial ports as they are: what a dump gives each to do, and what is soldered to it.

From both comes the *plan*: the jobs that each port should carry, so that every job is where its
device is. It is one plan for the whole board, so that lines which mend one port never undo those
that mend another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from msgspec import Struct

from cfgaudit.derive.jobs import SOLE, beside, clashing, is_door, may_share
from cfgaudit.derive.tree import Tree, branch, entries, told, whole, wholes, word, words
from cfgaudit.dialect.codec.port import is_unmapped


class Device(Struct, frozen=True):
    """One device of the build sheet; ``job`` and ``port`` are "" where it has none."""

    index: int  # its place in the sheet's list, from 0
    name: str
    job: str
    port: str
    rates_baud: tuple[int, ...]  # what it can run at; empty if the sheet does not say


class Port(Struct, frozen=True):
    """One serial port. ``jobs`` is None where the dump does not say what it carries."""

    id: str
    jobs: tuple[str, ...] | None
    devices: tuple[Device, ...]

    @property
    def carried(self) -> tuple[str, ...]:
        """The jobs it is known to carry."""
        return self.jobs or ()

    @property
    def soldered(self) -> frozenset[str]:
        """The jobs of what is soldered to it."""
        return frozenset(device.job for device in self.devices if device.job)

    @property
    def lacking(self) -> tuple[Device, ...]:
        """Devices soldered here whose job the port is known not to carry."""
        if self.jobs is None:
            return ()
        return tuple(device for device in self.devices if device.job and device.job not in self.jobs)

    def at_home(self, job: str) -> bool:
        """Whether something here does the job, as its own or beside its own."""
        return any(job == own or job in beside(own) for own in self.soldered)


class Wiring(Struct, frozen=True, dict=True):
    """All devices of a build sheet and all ports that it or the dump speaks of, by id."""

    devices: tuple[Device, ...]
    ports: dict[str, Port]
    unplaced: frozenset[str] = frozenset()  # ports that may be any of the board's: no number tells which

    @cached_property
    def carriers(self) -> dict[str, tuple[str, ...]]:
        """Job → ids of the ports known to carry it."""
        jobs = {job for port in self.ports.values() for job in port.carried}
        return {job: tuple(one.id for one in self.ports.values() if job in one.carried) for job in jobs}

    @cached_property
    def homes(self) -> dict[str, tuple[str, ...]]:
        """Job → ids of the ports to which a device with the job is soldered."""
        jobs = {job for port in self.ports.values() for job in port.soldered}
        return {job: tuple(one.id for one in self.ports.values() if job in one.soldered) for job in jobs}

    @cached_property
    def elsewhere(self) -> dict[Device, str]:
        """Device whose port lacks its job → the port that carries it instead, if there is one."""
        found = {}
        for device in (device for port in self.ports.values() for device in port.lacking):
            homes = self.homes[device.job]
            taken = {*homes, *self.unplaced}
            strays = (port for port in self.carriers.get(device.job, ()) if port not in taken)
            if stray := next(strays, ""):
                found[device] = stray
        return found

    def hindering(self, device: Device) -> tuple[str, ...]:
        """What cannot be taken off a device's port and cannot share it: names, or ``console-link``."""
        port = self.ports.get(device.port)
        if not port or not device.job:
            return ()
        others = (one for one in port.devices if one.job and one is not device)
        held = [one.name for one in others if not may_share(one.job, device.job)]
        if self._only_door(port) and not may_share("console-link", device.job):
            held.append("console-link")
        return tuple(held)

    def extra(self, port: Port) -> tuple[str, ...]:
        """Jobs that only one port may carry, and that another one rightly carries too."""
        return tuple(
            job
            for job in port.carried
            if job in SOLE
            and job not in port.soldered
            and any(other in self.carriers[job] for other in self.homes.get(job, ()))
        )

    def contested(self, job: str) -> bool:
        """Whether several ports carry a job for one port, and the soldering does not tell them apart."""
        if job not in SOLE or any(device.job == job for device in self.elsewhere):
            return False
        extra = [port for port in self.ports.values() if job in self.extra(port)]
        return len(self.carriers.get(job, ())) - len(extra) > 1

    def strayed(self, port: Port) -> frozenset[str]:
        """Jobs here that belong to a device on another port, which lacks them."""
        return frozenset(device.job for device, other in self.elsewhere.items() if other == port.id)

    def idle(self, port: Port) -> tuple[str, ...]:
        """Jobs that nothing here does, no program needs, and neither another port nor a device whose
        port nobody told waits for."""
        homeless = (device.job for device in self.devices if not device.port)
        known = {*self.strayed(port), *self.extra(port), *homeless}
        return tuple(
            job
            for job in port.carried
            if not port.at_home(job) and not is_door(job, port.id) and job not in known
        )

    def planned(self, port: Port) -> tuple[str, ...]:
        """The jobs the port should carry, those it keeps in their order, then what it lacks."""
        added = self._added(port)
        moved = {*(job for job in self.strayed(port) if self._has_room(job)), *self.extra(port)}
        staying = [job for job in port.carried if job not in moved]
        firm = [*(job for job in staying if job in port.soldered or self._must_stay(job, port)), *added]
        loose = [job for job in staying if job not in firm and all(may_share(job, one) for one in firm)]
        parting = {job for job in clashing(loose) if not is_door(job, port.id)}
        kept = {*firm, *loose} - parting
        return (*(job for job in staying if job in kept), *added)

    def tidy(self, port: Port) -> tuple[str, ...]:
        """The plan without the jobs that nothing here does."""
        idle = self.idle(port)
        return tuple(job for job in self.planned(port) if job not in idle)

    @property
    def console_lost(self) -> bool:
        """Whether the USB port is known not to let the configuration program in."""
        usb = self.ports.get("USB")
        return usb is not None and usb.jobs is not None and "console-link" not in usb.jobs

    def _has_room(self, job: str) -> bool:
        return any(one.job == job and not self.hindering(one) for one in self.elsewhere)

    def _only_door(self, port: Port) -> bool:
        return self.carriers.get("console-link") == (port.id,) and not self.console_lost

    def _must_stay(self, job: str, port: Port) -> bool:
        return job == "console-link" and (port.id == "USB" or self._only_door(port))

    def _added(self, port: Port) -> tuple[str, ...]:
        wanted = [device.job for device in port.lacking if not self.hindering(device)]
        door = ["console-link"] if port.id == "USB" and self.console_lost else []
        return tuple(dict.fromkeys([*wanted, *door]))


def wiring(model: Tree, build: Tree) -> Wiring:
    """The wiring of a model and a build sheet, either of which may be empty."""
    devices = tuple(_devices(build))
    ids = [*branch(model, "ports"), *branch(build, "board", "ports"), *(one.port for one in devices)]
    return Wiring(
        devices=devices,
        ports={id: _port(id, model, devices) for id in dict.fromkeys(ids) if id},
        unplaced=frozenset(id for id in ids if is_unmapped(id) and unnumbered(build)),
    )


def unnumbered(build: Tree) -> str:
    """The first port of the board whose number in the firmware is not declared, or "".

    Once all of them are, USB's too, a number that none of them has is that of no port brought out.
    """
    ports = {"USB": None, **branch(build, "board", "ports")}
    return next((id for id, port in ports.items() if whole(port, "number") is None), "")


def _devices(build: Tree) -> Iterator[Device]:
    for index, entry in entries(build, "devices"):
        kind, job, port = word(entry, "kind"), word(entry, "job"), word(entry, "port")
        yield Device(
            index=index,
            name=word(entry, "name") or kind,
            job="" if job == "none" else job,
            port="" if port == "none" else port,
            rates_baud=wholes(entry, "rate_baud") or wholes(entry, "rates_baud"),
        )


def _port(id: str, model: Tree, devices: Iterable[Device]) -> Port:
    known = isinstance(told(model, "ports", id, "functions"), list)
    return Port(
        id=id,
        jobs=words(model, "ports", id, "functions") if known else None,
        devices=tuple(device for device in devices if device.port == id),
    )


def rate_of(port: Tree, job: str) -> tuple[tuple[str, ...], int | None]:
    """Where a model's port keeps the rate for a job, and the rate in baud; None if not told."""
    path = ("rates_baud", job) if "rates_baud" in port and "rate_baud" not in port else ("rate_baud",)
    return path, whole(port, *path)
