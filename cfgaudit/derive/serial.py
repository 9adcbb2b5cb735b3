"""Figures about serial ports: section ``serial`` of what rules see as ``derived``.

::

    carriers.JOB        ids of the ports that carry the job; every job word is a key
    contested.JOB       several ports carry a job for one port, and nothing tells which is right
    busy                ids of the ports that carry any job
    console_lost        the USB port does not let the configuration program in
    doors               ids of the ports by which it comes in
    port.ID             every port that the dump or the build sheet speaks of:
      devices           names of what is soldered to it
      alone             nothing is soldered to it
      idle              jobs that nothing here does and no other port or homeless device waits for
      extra             jobs that only one port may carry, and that another one rightly carries
      clash             jobs that cannot share the line with another one here, one of them at least
                        without a device of its own here
      plan              the jobs it should carry, so that each is where its device is
      tidy              the plan without the idle jobs
      on_chip           whether the chip has the port
      placed            whether it is known where on the board it is
    device.NAME         every device of the build sheet:
      index             its place in the sheet's list, from 0
      job, port         what it does and where it is soldered; "" if it has none
      elsewhere         the port that carries its job in place of its own, or ""
      company           names of what is soldered to that other port
      hindering         what cannot share its port and cannot be taken off it
      rivals            names of earlier devices on its port that cannot share it
      rates_baud        what it can run at
      rate_baud         what its port is set to, for its job
      rate_key          where the model's port keeps that rate: rate_baud, or rates_baud
      rate_job          the job below rates_baud, or ""
"""

from __future__ import annotations

from cfgaudit.derive.jobs import clashing, may_share
from cfgaudit.derive.mcu.library import chip as chip_in_library
from cfgaudit.derive.missing import Figure, Missing, Section
from cfgaudit.derive.tree import Tree, branch, whole, word
from cfgaudit.derive.wiring import Device, Port, Wiring, rate_of, unnumbered, wiring
from cfgaudit.model.devices import JOBS


def serial(model: Tree, build: Tree) -> Section:
    """The section, complete: what the dump does not say is Missing, never left out."""
    all_wiring = wiring(model, build)
    ports = all_wiring.ports.values()
    jobs = dict.fromkeys([*JOBS, *all_wiring.carriers])
    chip = word(build, "board", "chip")
    return {
        "carriers": {job: [*all_wiring.carriers.get(job, ())] for job in jobs},
        "contested": {job: all_wiring.contested(job) for job in jobs},
        "busy": [port.id for port in ports if port.carried],
        "console_lost": all_wiring.console_lost,
        "doors": _doors(all_wiring, build),
        "port": {port.id: _port(port, all_wiring, chip) | _placed(port, all_wiring, build) for port in ports},
        "device": {device.name: _device(device, all_wiring, model) for device in all_wiring.devices},
    }


def _port(port: Port, all_wiring: Wiring, chip: str) -> Section:
    known = port.jobs is not None
    unknown = Missing((f"model.ports.{port.id}.functions",))
    loose = any(job not in port.soldered for job in clashing(port.carried))
    return {
        "devices": [device.name for device in port.devices],
        "alone": not port.devices,
        "idle": [*all_wiring.idle(port)],
        "extra": [*all_wiring.extra(port)],
        "clash": [*clashing(port.carried)] if loose else [],
        "plan": [*all_wiring.planned(port)] if known else unknown,
        "tidy": [*all_wiring.tidy(port)] if known else unknown,
        "on_chip": _on_chip(port.id, chip),
    }


def _placed(port: Port, all_wiring: Wiring, build: Tree) -> Section:
    """``placed``; of a port that may be any of the board's, without what hangs on its place."""
    if port.id not in all_wiring.unplaced or not port.carried:
        return {"placed": True}
    unknown = Missing((f"build.board.ports.{unnumbered(build)}.number",))
    return dict.fromkeys(("placed", "alone", "idle", "extra", "clash", "plan", "tidy"), unknown)


def _doors(all_wiring: Wiring, build: Tree) -> Figure:
    """The ports by which the configuration program comes in."""
    if all_wiring.unplaced and whole(build, "board", "ports", "USB", "number") is None:
        return Missing(("build.board.ports.USB.number",))
    return ["USB"]


def _on_chip(id: str, chip: str) -> Figure:
    if not chip:
        return Missing(("build.board.chip",))
    known = chip_in_library(chip)
    if known is None or not known.ports:
        return Missing(("build.board.chip",), f"no list of chips here has the serial ports of {chip}")
    return id in known.ports or "UART" not in id


def _device(device: Device, all_wiring: Wiring, model: Tree) -> Figure:
    elsewhere = all_wiring.elsewhere.get(device, "")
    other = all_wiring.ports.get(elsewhere)
    path, rate = rate_of(branch(model, "ports", device.port), device.job)
    on_line = all_wiring.ports[device.port].devices if device.port else ()
    return {
        "index": device.index,
        "job": device.job,
        "port": device.port,
        "elsewhere": elsewhere,
        "company": [one.name for one in other.devices] if other else [],
        "hindering": [*all_wiring.hindering(device)],
        "rivals": [
            one.name
            for one in on_line
            if one.index < device.index and one.job and device.job and not may_share(one.job, device.job)
        ],
        "rates_baud": [*device.rates_baud],
        "rate_baud": Missing((".".join(("model.ports", device.port, *path)),)) if rate is None else rate,
        "rate_key": path[0],
        "rate_job": path[1] if len(path) > 1 else "",
    }
